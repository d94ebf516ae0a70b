#include "pipeline/publish/caption_files.h"

#include "overlay/base/utf8.h"
#include "pipeline/publish/caption_lines.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr std::int64_t kFlicksPerMillisecond = kFlicksPerSecond / 1000;

std::int64_t milliseconds(Time time) { return to_ticks(time, 1, 1000); }

/// "01:02:03.004"; WebVTT wants two digits of hours at least.
std::string stamp(Time time, char decimal)
{
    std::int64_t const ms = std::max<std::int64_t>(0, milliseconds(time));
    return fmt::format("{:02}:{:02}:{:02}{}{:03}", ms / 3'600'000, ms / 60'000 % 60, ms / 1000 % 60, decimal,
                       ms % 1000);
}

/// A cue must last a millisecond at least, as it is written.
Time end_of(Time from, Time to)
{
    return milliseconds(to) > milliseconds(from) ? to : Time{(milliseconds(from) + 1) * kFlicksPerMillisecond};
}

void replace_all(std::string& text, std::string_view what, std::string_view by)
{
    for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + by.size()))
        text.replace(at, what.size(), by);
}

/// Without tags, but for those in `kept`.
std::string without_tags(std::string_view text, bool keep_shared)
{
    std::string result;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] != '<') {
            result += text[i];
            continue;
        }
        std::size_t const end = std::min(text.find('>', i), text.size() - 1);
        std::string_view const tag = text.substr(i, end - i + 1);
        constexpr std::string_view kShared = "<b> </b> <i> </i> <u> </u>";
        if (keep_shared && kShared.find(tag) != std::string_view::npos)
            result += tag;
        i = end;
    }
    return result;
}

std::string without_escapes(std::string text)
{
    replace_all(text, "&lt;", "<");
    replace_all(text, "&gt;", ">");
    replace_all(text, "&lrm;", "\u200E");
    replace_all(text, "&rlm;", "\u200F");
    replace_all(text, "&nbsp;", "\u00A0");
    replace_all(text, "&amp;", "&");
    return text;
}

/// SubRip has no escapes: an empty line would end a cue, and an arrow between times begin one.
std::string subrip_text(std::string const& cue_text)
{
    std::string text;
    for (std::string line : caption_lines(without_escapes(without_tags(cue_text, true)))) {
        replace_all(line, "-->", "\u2192");
        if (!trimmed_line(line).empty())
            text += (text.empty() ? "" : "\n") + line;
    }
    return text;
}

} // namespace

std::string cue_text(std::string_view plain)
{
    std::string text;
    for (auto const& raw : caption_lines(plain)) {
        std::string const clean = on_one_line(raw);
        std::string line{trimmed_line(clean)};
        if (line.empty())
            continue;
        replace_all(line, "&", "&amp;");
        replace_all(line, "<", "&lt;");
        replace_all(line, ">", "&gt;"); // keeps --> out of the text
        text += (text.empty() ? "" : "\n") + line;
    }
    return text;
}

std::string plain_text(std::string_view text) { return without_escapes(without_tags(text, false)); }

std::string webvtt(CaptionFile const& file)
{
    std::string text = "WEBVTT\n";
    for (auto const& block : file.blocks)
        text += "\n" + block + "\n";
    for (auto const& caption : file.captions) {
        text += "\n";
        if (!caption.id.empty())
            text += caption.id + "\n";
        text +=
            fmt::format("{} --> {}{}{}\n{}\n", stamp(caption.from, '.'), stamp(end_of(caption.from, caption.to), '.'),
                        caption.settings.empty() ? "" : " ", caption.settings, caption.text);
    }
    return text;
}

std::string subrip(std::vector<Caption> const& captions)
{
    std::string text;
    int number = 0;
    for (auto const& caption : captions) {
        std::string const shown = subrip_text(caption.text);
        if (shown.empty())
            continue;
        ++number;
        text += fmt::format("{}{}\n{} --> {}\n{}\n", number == 1 ? "" : "\n", number, stamp(caption.from, ','),
                            stamp(end_of(caption.from, caption.to), ','), shown);
    }
    return text;
}

std::string webvtt_chapters(std::vector<Chapter> const& chapters)
{
    CaptionFile file;
    for (auto const& chapter : chapters) {
        std::string title = cue_text(chapter.title);
        std::ranges::replace(title, '\n', ' ');
        file.captions.push_back({chapter.from, chapter.to, title});
    }
    return webvtt(file);
}

} // namespace tabard::pipeline
