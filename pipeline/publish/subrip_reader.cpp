#include "pipeline/publish/subrip_reader.h"

#include "pipeline/publish/caption_lines.h"
#include "pipeline/publish/caption_timing.h"
#include "pipeline/publish/left_out.h"

#include <algorithm>
#include <array>
#include <utility>

namespace tabard::pipeline {
namespace {

/// As WebVTT cue text. SubRip has no escapes: what is no tag that WebVTT shares is text. Tags of colours and the
/// places and looks in braces ("{\an8}") that some programs write are left out.
std::string cue_text_of(std::string const& text)
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
        } else if (rest.starts_with("{\\") && rest.find('}') != std::string_view::npos) {
            i += rest.find('}');
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

class Reader {
public:
    explicit Reader(std::vector<std::string> const& lines) : m_lines(lines) {}

    CaptionReading read()
    {
        for (; m_next < m_lines.size();) {
            if (is_empty(m_next))
                ++m_next;
            else
                read_block();
        }
        return std::move(m_reading);
    }

private:
    /// Writers leave spaces in empty lines.
    bool is_empty(std::size_t line) const { return trimmed_line(m_lines[line]).empty(); }
    bool has_arrow(std::size_t line) const
    {
        return line < m_lines.size() && m_lines[line].find(kCaptionArrow) != std::string::npos;
    }
    bool is_timing(std::size_t line) const
    {
        return has_arrow(line) && parse_caption_timing(m_lines[line], CaptionFormat::subrip);
    }
    bool begins_cue(std::size_t line) const
    {
        bool const number = trimmed_line(m_lines[line]).find_first_not_of("0123456789") == std::string_view::npos;
        return is_timing(line) || (number && is_timing(line + 1));
    }
    /// The lines up to an empty one or to a cue that follows without one.
    std::string take_text()
    {
        std::string text;
        for (; m_next < m_lines.size() && !is_empty(m_next) && !begins_cue(m_next); ++m_next)
            text += (text.empty() ? "" : "\n") + m_lines[m_next];
        return text;
    }
    void read_block()
    {
        std::size_t const first = m_next;
        if (!has_arrow(m_next) && has_arrow(m_next + 1))
            ++m_next;
        if (!has_arrow(m_next)) {
            ++m_next;
            take_text();
            m_reading.left_out.push_back(left_out_text(m_lines, first, m_next));
            return;
        }
        auto const timing = parse_caption_timing(m_lines[m_next], CaptionFormat::subrip);
        if (!timing)
            m_reading.left_out.push_back(left_out(m_next, timing.error().what));
        ++m_next;
        std::string const text = cue_text_of(take_text());
        if (timing && !trimmed_line(text).empty())
            m_reading.file.captions.push_back({timing->from, timing->to, text});
    }

    std::vector<std::string> const& m_lines;
    std::size_t m_next = 0;
    CaptionReading m_reading;
};

} // namespace

CaptionReading read_subrip(std::vector<std::string> const& lines) { return Reader{lines}.read(); }

} // namespace tabard::pipeline
