#include "pipeline/publish/caption_files.h"

#include "overlay/base/utf8.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <optional>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr std::int64_t kFlicksPerMillisecond = kFlicksPerSecond / 1000;

/// About the 114 years that a `Time` certainly holds with what is added to it later.
constexpr std::int64_t kMostHours = 1'000'000;

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

std::string_view trimmed(std::string_view text)
{
    auto const first = text.find_first_not_of(" \t");
    if (first == std::string_view::npos)
        return {};
    return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

/// Lines of any ending; a byte order mark and the file's last line end are no part of them.
std::vector<std::string> lines_of(std::string_view text)
{
    if (text.starts_with("\xEF\xBB\xBF"))
        text.remove_prefix(3);
    std::vector<std::string> lines(1);
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] == '\r' && i + 1 < text.size() && text[i + 1] == '\n')
            continue;
        if (text[i] == '\n' || text[i] == '\r')
            lines.emplace_back();
        else if (text[i] == '\0')
            lines.back() += "\uFFFD"; // W3C WebVTT 6.1, step 1
        else
            lines.back() += text[i];
    }
    return lines;
}

/// Takes a run of `least` to `most` digits off the front.
std::optional<std::int64_t> take_number(std::string_view& text, std::size_t least, std::size_t most)
{
    std::size_t const digits = std::min(text.find_first_not_of("0123456789"), text.size());
    if (digits < least || digits > most)
        return std::nullopt;
    std::int64_t value = 0;
    std::from_chars(text.data(), text.data() + digits, value);
    text.remove_prefix(digits);
    return value;
}

bool take(std::string_view& text, std::string_view signs)
{
    if (text.empty() || signs.find(text.front()) == std::string_view::npos)
        return false;
    text.remove_prefix(1);
    return true;
}

/// [hours:]minutes:seconds.thousandths, with a comma in SubRip.
std::optional<Time> take_stamp(std::string_view& text)
{
    auto first = take_number(text, 1, 9);
    if (!first || !take(text, ":"))
        return std::nullopt;
    auto second = take_number(text, 2, 2);
    std::optional<std::int64_t> third;
    if (take(text, ":")) {
        third = take_number(text, 2, 2);
        if (!third)
            return std::nullopt;
    }
    bool const has_hours = third.has_value();
    std::int64_t const hours = has_hours ? *first : 0;
    auto const minutes = has_hours ? second : first;
    auto const seconds = has_hours ? third : second;
    if (!minutes || !seconds || *minutes > 59 || *seconds > 59 || !take(text, ".,"))
        return std::nullopt;
    auto const thousandths = take_number(text, 3, 3);
    if (!thousandths)
        return std::nullopt;
    if (hours > kMostHours)
        return std::nullopt;
    return Time{(((hours * 60 + *minutes) * 60 + *seconds) * 1000 + *thousandths) * kFlicksPerMillisecond};
}

/// "00:01.000 --> 00:02.000 align:start"
std::optional<Caption> timing(std::string_view line)
{
    Caption caption;
    auto rest = trimmed(line);
    auto const from = take_stamp(rest);
    rest = trimmed(rest);
    if (!from || !rest.starts_with("-->"))
        return std::nullopt;
    rest = trimmed(rest.substr(3));
    auto const to = take_stamp(rest);
    if (!to)
        return std::nullopt;
    caption.from = *from;
    caption.to = *to;
    caption.settings = trimmed(rest);
    return caption;
}

/// SubRip has no escapes: what is no tag that WebVTT shares is text.
std::string from_subrip(std::string const& text)
{
    constexpr std::array<std::string_view, 6> kShared{"<b>", "</b>", "<i>", "</i>", "<u>", "</u>"};
    std::string result;
    for (std::size_t i = 0; i < text.size(); ++i) {
        auto const rest = std::string_view{text}.substr(i);
        auto const tag = std::ranges::find_if(kShared, [&](auto known) { return rest.starts_with(known); });
        if (tag != kShared.end()) {
            result += *tag;
            i += tag->size() - 1;
        } else if (rest.starts_with("<font") || rest.starts_with("</font")) {
            i += std::min(rest.find('>'), rest.size() - 1);
        } else if (text[i] == '&') {
            result += "&amp;";
        } else if (text[i] == '<') {
            result += "&lt;";
        } else if (text[i] == '>') {
            result += "&gt;";
        } else {
            result += text[i];
        }
    }
    return result;
}

/// Escapes an & that begins no escape: players forgive it, the format does not.
std::string with_escaped_ampersands(std::string const& text)
{
    std::string result;
    for (std::size_t i = 0; i < text.size(); ++i) {
        result += text[i];
        if (text[i] != '&')
            continue;
        auto const end =
            text.find_first_not_of("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789#", i + 1);
        if (end == std::string::npos || text[end] != ';' || end == i + 1)
            result += "amp;";
    }
    return result;
}

class CaptionReader {
public:
    explicit CaptionReader(std::string_view text) : m_lines(lines_of(text)) {}

    Result<CaptionFile> read()
    {
        m_webvtt = m_lines[0] == "WEBVTT" || m_lines[0].starts_with("WEBVTT ") || m_lines[0].starts_with("WEBVTT\t");
        if (m_webvtt)
            skip_block();
        while (skip_empty()) {
            if (m_webvtt && is_block("NOTE"))
                skip_block();
            else if (m_webvtt && (is_block("STYLE") || is_block("REGION")))
                m_file.blocks.push_back(take_block());
            else
                TRY_VOID(read_cue());
        }
        std::ranges::stable_sort(m_file.captions, {}, &Caption::from);
        return std::move(m_file);
    }

private:
    bool at_end() const { return m_next >= m_lines.size(); }
    std::string const& line() const { return m_lines[m_next]; }
    /// W3C WebVTT 6.3: a block ends at an empty line; one of spaces is text. SubRip's writers leave spaces there.
    bool is_empty() const { return m_webvtt ? line().empty() : trimmed(line()).empty(); }
    bool skip_empty()
    {
        while (!at_end() && is_empty())
            ++m_next;
        return !at_end();
    }
    bool is_block(std::string_view name) const
    {
        return line().starts_with(name) &&
               (line().size() == name.size() || line()[name.size()] == ' ' || line()[name.size()] == '\t');
    }
    void skip_block() { take_block(); }
    std::string take_block()
    {
        std::string block;
        for (; !at_end() && !is_empty(); ++m_next)
            block += (block.empty() ? "" : "\n") + line();
        return block;
    }
    /// The lines up to an empty one or, as the formats have it, to the timing of a cue that follows without one.
    std::string take_text()
    {
        std::string text;
        for (; !at_end() && !is_empty() && !begins_cue(m_next); ++m_next)
            text += (text.empty() ? "" : "\n") + line();
        return text;
    }
    bool begins_cue(std::size_t at) const
    {
        if (m_webvtt) // W3C WebVTT 6.3, "collect a WebVTT block": no line of a text may hold the arrow
            return m_lines[at].find("-->") != std::string::npos;
        bool const number = m_lines[at].find_first_not_of("0123456789") == std::string::npos;
        return timing(m_lines[at]) || (number && at + 1 < m_lines.size() && timing(m_lines[at + 1]));
    }
    Result<void> read_cue()
    {
        std::string id;
        if (line().find("-->") == std::string::npos)
            id = m_lines[m_next++];
        auto caption = at_end() ? std::nullopt : timing(line());
        if (!caption)
            return Error{ErrorKind::invalid_input,
                         fmt::format("line {} of the captions is no timing like 00:01:02.500 --> 00:01:04.000",
                                     std::min(m_next, m_lines.size() - 1) + 1)};
        if (caption->to <= caption->from)
            return Error{ErrorKind::invalid_input,
                         fmt::format("line {} of the captions ends at {} and begins at {}; let it end later",
                                     m_next + 1, stamp(caption->to, '.'), stamp(caption->from, '.'))};
        ++m_next;
        caption->text = take_text();
        if (!m_webvtt) {
            caption->text = from_subrip(caption->text);
            caption->settings.clear(); // coordinates of some SubRip writers
        } else {
            caption->text = with_escaped_ampersands(caption->text);
            caption->id = id;
        }
        if (!trimmed(caption->text).empty())
            m_file.captions.push_back(std::move(*caption));
        return {};
    }

    std::vector<std::string> m_lines;
    std::size_t m_next = 0;
    bool m_webvtt = false;
    CaptionFile m_file;
};

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
    for (std::string line : lines_of(without_escapes(without_tags(cue_text, true)))) {
        replace_all(line, "-->", "\u2192");
        if (!trimmed(line).empty())
            text += (text.empty() ? "" : "\n") + line;
    }
    return text;
}

} // namespace

std::string cue_text(std::string_view plain)
{
    std::string text;
    for (auto const& raw : lines_of(plain)) {
        std::string const clean = on_one_line(raw);
        std::string line{trimmed(clean)};
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

Result<CaptionFile> parse_captions(std::string_view text) { return CaptionReader{text}.read(); }

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
