#include "pipeline/retime/export.h"

#include "overlay/base/utf8.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <array>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// Signs that make a spreadsheet run a cell as a formula (OWASP, "CSV Injection"): = + - @, tab and carriage return,
/// and the full-width forms that some programs take for the same.
bool begins_formula(std::string_view text)
{
    constexpr std::array<std::string_view, 10> kSigns{"=",  "+",      "-",      "@",      "\t",
                                                      "\r", "\uFF1D", "\uFF0B", "\uFF0D", "\uFF20"};
    return std::ranges::any_of(kSigns, [&](std::string_view sign) { return text.starts_with(sign); });
}

/// RFC 4180: quoted where it holds a comma, a quote or a line end. An apostrophe before what would be a formula makes
/// it text.
std::string csv_field(std::string const& name)
{
    std::string const text = (begins_formula(name) ? "'" : "") + name;
    if (text.find_first_of(",\"\t\r\n") == std::string::npos)
        return text;
    std::string quoted = "\"";
    for (char const sign : text)
        quoted += sign == '"' ? "\"\"" : std::string{sign};
    return quoted + '"';
}

/// WebVTT cue text: escapes for the signs that begin tags and entities, and no blank line.
std::string vtt_text(std::string const& text)
{
    std::string result;
    for (char const sign : on_one_line(text)) {
        if (sign == '&')
            result += "&amp;";
        else if (sign == '<')
            result += "&lt;";
        else if (sign == '>')
            result += "&gt;";
        else
            result += sign;
    }
    return result;
}

/// Hours of at least two digits, three decimals.
std::string vtt_time(std::int64_t milliseconds)
{
    return fmt::format("{:02}:{:02}:{:02}.{:03}", milliseconds / 3'600'000, milliseconds / 60'000 % 60,
                       milliseconds / 1000 % 60, milliseconds % 1000);
}

std::string without_film(std::string_view format)
{
    return fmt::format("{} holds the cues alone, not how the film is cut: edl and otio hold both", format);
}

} // namespace

std::vector<ExportCue> export_cues(Lesson const& lesson, Timeline const& timeline)
{
    std::vector<ExportCue> cues;
    auto const add = [&](CueKind kind, std::string const& name, int section, Time in, Time out, int bar) {
        if (in < out)
            cues.push_back({kind, name, *lesson.sections[static_cast<std::size_t>(section)].name, bar, {in, out}});
    };
    for (SectionSpan const& span : timeline.sections())
        add(CueKind::section, span.name, span.section, span.in, span.out, 0);
    for (ChordSpan const& span : timeline.chords())
        add(CueKind::chord, span.name.empty() ? "N.C." : span.name, span.section, span.in, span.out, span.bar);
    for (StrumSpan const& span : timeline.strums())
        add(CueKind::strum, span.name, span.section, span.in, span.out, 0);
    for (TextSpan const& span : timeline.texts())
        add(CueKind::text, span.text, span.section, span.in, span.out, 0);
    std::ranges::stable_sort(cues, {}, [](ExportCue const& cue) { return cue.on_screen.from; });
    return cues;
}

std::string_view marker_colour(CueKind kind)
{
    switch (kind) {
    case CueKind::section:
        return "YELLOW";
    case CueKind::chord:
        return "GREEN";
    case CueKind::strum:
        return "CYAN";
    case CueKind::text:
        return "WHITE";
    case CueKind::count_in:
        return "BLUE";
    }
    return "";
}

Exported export_csv(ExportJob const& job)
{
    Exported result{"from,to,kind,name,section,bar\r\n", {without_film("csv")}};
    for (ExportCue const& cue : job.cues)
        result.text += fmt::format("{},{},{},{},{},{}\r\n", print_time_exact(cue.on_screen.from),
                                   print_time_exact(cue.on_screen.to), cue_kind_name(cue.kind), csv_field(cue.name),
                                   csv_field(cue.section), cue.bar > 0 ? std::to_string(cue.bar) : "");
    return result;
}

Exported export_vtt(ExportJob const& job)
{
    Exported result{"WEBVTT\n", {without_film("vtt") + "; of the cues it holds the chords"}};
    for (ExportCue const& cue : job.cues) {
        std::int64_t const from = std::max<std::int64_t>(0, to_ticks(cue.on_screen.from, 1, 1000));
        std::int64_t const to = to_ticks(cue.on_screen.to, 1, 1000);
        if (cue.kind == CueKind::chord && from < to)
            result.text += fmt::format("\n{} --> {}\n{}\n", vtt_time(from), vtt_time(to), vtt_text(cue.name));
    }
    return result;
}

} // namespace tabard::pipeline
