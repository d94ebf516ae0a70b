#include "pipeline/publish/webvtt_reader.h"

#include "pipeline/publish/caption_lines.h"
#include "pipeline/publish/caption_timing.h"
#include "pipeline/publish/left_out.h"

#include <optional>
#include <utility>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

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

bool is_word(std::string_view line, std::string_view word)
{
    return line.starts_with(word) && trimmed_line(line.substr(word.size())).empty();
}

bool is_comment(std::string_view block)
{
    return block.starts_with("NOTE") && (block.size() == 4 || std::string_view{" \t\n"}.find(block[4]) != block.npos);
}

constexpr char const* kArrowInText = "no text may hold an arrow; write it as --&gt;";

/// The algorithms of W3C WebVTT 6.1 and 6.3, by lines instead of by signs.
class Reader {
public:
    explicit Reader(std::vector<std::string> const& lines) : m_lines(lines) {}

    CaptionReading read()
    {
        m_next = 1;
        if (m_next < m_lines.size() && !m_lines[m_next].empty())
            collect_block(In::header);
        while (skip_empty())
            collect_block(In::body);
        return std::move(m_reading);
    }

private:
    enum class In { header, body };

    bool skip_empty()
    {
        while (m_next < m_lines.size() && m_lines[m_next].empty())
            ++m_next;
        return m_next < m_lines.size();
    }
    bool has_arrow(std::size_t line) const { return m_lines[line].find(kCaptionArrow) != std::string::npos; }

    /// "Collect a WebVTT block": at most one line with an arrow, which is the first or the second.
    void collect_block(In in)
    {
        std::size_t const first = m_next;
        std::string buffer;
        std::string style; ///< STYLE or REGION, where the block is one
        std::optional<Caption> cue;
        bool seen_arrow = false;
        for (; m_next < m_lines.size() && !m_lines[m_next].empty(); ++m_next) {
            std::string const& line = m_lines[m_next];
            if (has_arrow(m_next)) {
                if (in == In::header || seen_arrow || m_next - first > 1)
                    break;
                seen_arrow = true;
                cue = begun_cue(buffer);
                if (cue)
                    buffer.clear();
                continue;
            }
            if (in == In::body && m_next - first == 1 && !m_seen_cue)
                for (std::string_view const word : {"STYLE", "REGION"})
                    if (is_word(buffer, word)) {
                        style = word;
                        buffer.clear();
                    }
            buffer += (buffer.empty() ? "" : "\n") + line;
        }
        if (cue)
            finish(*std::move(cue), buffer);
        else if (!style.empty())
            m_reading.file.blocks.push_back(style + "\n" + buffer);
        else if (in == In::body && !seen_arrow && !is_comment(buffer))
            say_lost(first);
    }

    std::optional<Caption> begun_cue(std::string const& id)
    {
        auto timing = parse_caption_timing(m_lines[m_next], CaptionFormat::webvtt);
        m_seen_cue = m_seen_cue || timing;
        if (!timing) {
            if (!is_comment(id) && !is_comment(m_lines[m_next]))
                m_reading.left_out.push_back(left_out(m_next, is_in_text(m_next) ? kArrowInText : timing.error().what));
            return std::nullopt;
        }
        return Caption{timing->from, timing->to, "", id, std::move(timing->settings)};
    }
    /// Whether a line with an arrow stands above it in what is one block to its author.
    bool is_in_text(std::size_t line) const
    {
        for (std::size_t above = line; above > 1 && !m_lines[above - 1].empty(); --above)
            if (has_arrow(above - 1))
                return true;
        return false;
    }
    void finish(Caption cue, std::string const& text)
    {
        cue.text = with_escaped_ampersands(text);
        if (!trimmed_line(text).empty())
            m_reading.file.captions.push_back(std::move(cue));
    }
    /// A block without a time is nothing to the standard.
    void say_lost(std::size_t first)
    {
        for (std::string_view const word : {"STYLE", "REGION"})
            if (is_word(m_lines[first], word)) {
                if (m_seen_cue)
                    m_reading.left_out.push_back(left_out(
                        first, fmt::format("a {} block counts only above the first caption; write it there", word)));
                return;
            }
        m_reading.left_out.push_back(left_out_text(m_lines, first, m_next));
    }

    std::vector<std::string> const& m_lines;
    std::size_t m_next = 0;
    bool m_seen_cue = false;
    CaptionReading m_reading;
};

} // namespace

bool has_webvtt_signature(std::string_view first_line)
{
    constexpr std::string_view kSignature = "WEBVTT";
    return first_line.starts_with(kSignature) &&
           (first_line.size() == kSignature.size() || first_line[kSignature.size()] == ' ' ||
            first_line[kSignature.size()] == '\t');
}

CaptionReading read_webvtt(std::vector<std::string> const& lines) { return Reader{lines}.read(); }

} // namespace tabard::pipeline
