#include "pipeline/retime/retime_report.h"

#include "overlay/base/utf8.h"
#include "pipeline/time/timecode.h"

#include <algorithm>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace tabard::pipeline {
namespace {

std::string_view fate_name(Fate fate)
{
    switch (fate) {
    case Fate::moved:
        return "moved";
    case Fate::trimmed:
        return "trimmed";
    case Fate::split:
        return "split";
    case Fate::repeated:
        return "repeated";
    case Fate::lost:
        return "lost";
    }
    return "";
}

std::string stretch(Interval interval)
{
    return fmt::format("{} - {}", print_time(interval.from), print_time(interval.to));
}

std::string title(RetimedCue const& cue)
{
    if (cue.kind == CueKind::section)
        return fmt::format("part \"{}\"", cue.name);
    std::string const name = cue.name.empty() ? "" : fmt::format(" {}", cue.name);
    std::string const bar = cue.bar > 0 ? fmt::format(", bar {}", cue.bar) : "";
    return fmt::format("{}{} in \"{}\"{}", cue_kind_name(cue.kind), name, cue.section, bar);
}

std::string counts_table(RetimeReport const& report)
{
    std::string text = fmt::format("{:<10}{:>9}{:>9}{:>9}{:>9}{:>9}{:>9}\n", "", "cues", "moved", "trimmed", "split",
                                   "repeated", "lost");
    auto const row = [&](std::string_view name, auto const& count, int all) {
        text += fmt::format("{:<10}{:>9}", name, all);
        for (Fate const fate : kFates)
            text += fmt::format("{:>9}", count(fate));
        text += '\n';
    };
    int total = 0;
    for (CueKind const kind : kCueKinds) {
        if (report.count(kind) == 0)
            continue;
        row(
            kind == CueKind::section ? "parts" : fmt::format("{}s", cue_kind_name(kind)),
            [&](Fate fate) { return report.count(kind, fate); }, report.count(kind));
        total += report.count(kind);
    }
    row(
        "all", [&](Fate fate) { return std::ranges::count(report.cues, fate, &RetimedCue::fate); }, total);
    return text;
}

std::string line_of(RetimedCue const& cue, std::string const& file)
{
    std::string after;
    for (std::size_t i = 0; i < std::min<std::size_t>(cue.after.size(), 6); ++i)
        after += fmt::format("{}{}", i > 0 ? ", " : " -> ", stretch(cue.after[i]));
    if (cue.after.size() > 6)
        after += fmt::format(" and {} more", cue.after.size() - 6);
    return on_one_line(fmt::format("  {}:{}: {}: {}{}{}", file, cue.at.line, title(cue), stretch(cue.before), after,
                                   cue.why.empty() ? "" : fmt::format(" ({})", cue.why))) +
           "\n";
}

nlohmann::ordered_json seconds(Interval interval)
{
    return {{"from", to_seconds(interval.from)}, {"to", to_seconds(interval.to)}};
}

nlohmann::ordered_json json_of(RetimedCue const& cue)
{
    nlohmann::ordered_json json{{"kind", cue_kind_name(cue.kind)}, {"name", cue.name}};
    if (cue.kind != CueKind::section)
        json["section"] = cue.section;
    if (cue.bar > 0)
        json["bar"] = cue.bar;
    json["line"] = cue.at.line;
    json["column"] = cue.at.column;
    json["fate"] = fate_name(cue.fate);
    json["before"] = seconds(cue.before);
    json["after"] = nlohmann::ordered_json::array();
    for (Interval const& interval : cue.after)
        json["after"].push_back(seconds(interval));
    if (!cue.why.empty())
        json["why"] = cue.why;
    return json;
}

} // namespace

std::string_view cue_kind_name(CueKind kind)
{
    switch (kind) {
    case CueKind::section:
        return "section";
    case CueKind::count_in:
        return "count-in";
    case CueKind::chord:
        return "chord";
    case CueKind::strum:
        return "strum";
    case CueKind::text:
        return "text";
    }
    return "";
}

int RetimeReport::count(CueKind kind, Fate fate) const
{
    return static_cast<int>(
        std::ranges::count_if(cues, [&](RetimedCue const& cue) { return cue.kind == kind && cue.fate == fate; }));
}

int RetimeReport::count(CueKind kind) const
{
    return static_cast<int>(std::ranges::count(cues, kind, &RetimedCue::kind));
}

std::string report_text(RetimeReport const& report, std::string const& file)
{
    std::string text = counts_table(report);
    for (Fate const fate : {Fate::lost, Fate::trimmed, Fate::split, Fate::repeated}) {
        if (std::ranges::find(report.cues, fate, &RetimedCue::fate) == report.cues.end())
            continue;
        text += fmt::format("\n{}:\n", fate_name(fate));
        for (RetimedCue const& cue : report.cues)
            if (cue.fate == fate)
                text += line_of(cue, file);
    }
    for (std::string const& remark : report.remarks)
        text += fmt::format("\nnote: {}\n", remark);
    for (std::string const& warning : report.warnings)
        text += fmt::format("\nwarning: {}\n", warning);
    return text;
}

std::string report_json(RetimeReport const& report, std::string const& file)
{
    nlohmann::ordered_json json{{"version", 1}, {"cues_file", file}, {"counts", nlohmann::ordered_json::object()}};
    for (CueKind const kind : kCueKinds) {
        auto& counts = json["counts"][std::string{cue_kind_name(kind)}];
        counts["all"] = report.count(kind);
        for (Fate const fate : kFates)
            counts[std::string{fate_name(fate)}] = report.count(kind, fate);
    }
    json["cues"] = nlohmann::ordered_json::array();
    for (RetimedCue const& cue : report.cues)
        json["cues"].push_back(json_of(cue));
    json["remarks"] = report.remarks;
    json["warnings"] = report.warnings;
    return json.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n";
}

} // namespace tabard::pipeline
