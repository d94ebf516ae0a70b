#include "pipeline/retime/edl_events.h"

#include "overlay/base/characters.h"
#include "pipeline/retime/edl_line.h"
#include "pipeline/retime/short_list.h"
#include "pipeline/retime/source_name.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <charconv>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr std::size_t kMostEvents = 200'000;

Error wrong(int line, std::string const& what)
{
    return {ErrorKind::invalid_input, fmt::format("line {}: {}", line, what)};
}

/// Reads a list line by line.
class Reader {
public:
    Reader(FrameRate rate, bool drop_frame) : m_rate(rate), m_drop_frame(drop_frame && has_drop_frame(rate)) {}

    Result<void> read(std::string_view line)
    {
        ++m_line;
        EdlTokens const tokens = edl_tokens(line);
        switch (edl_line(tokens)) {
        case EdlLine::empty:
            return {};
        case EdlLine::event:
            return event(tokens);
        case EdlLine::frame_code:
            return frame_code(line);
        case EdlLine::motion:
            return motion(tokens);
        case EdlLine::resembling:
            m_resembling.push_back(std::to_string(m_line));
            break;
        case EdlLine::comment:
            break;
        }
        comment(line);
        return {};
    }

    EdlList take()
    {
        name_clips();
        EdlList list{std::move(m_events), {}, {}};
        if (m_guesses_frame_code)
            list.doubts.push_back({fmt::format("the list does not say whether its labels are drop-frame: read as {}",
                                               m_drop_frame ? "drop-frame" : "non-drop"),
                                   "give it \"FCM: DROP FRAME\" or \"FCM: NON-DROP FRAME\" as its first line"});
        if (!m_resembling.empty())
            list.remarks.push_back(
                fmt::format("line{} {} of the list: a comment that reads like an event, not followed",
                            m_resembling.size() == 1 ? "" : "s", short_list(m_resembling)));
        return list;
    }

private:
    Result<void> event(EdlTokens const& tokens)
    {
        if (m_events.size() == kMostEvents)
            return wrong(m_line, fmt::format("more than {} events", kMostEvents));
        EdlEvent event;
        event.number = tokens[0];
        event.line = m_line;
        std::size_t const labels = tokens.size() - 4;
        if (tokens.size() < 8)
            return wrong(m_line, fmt::format("an event has eight parts (number, reel, track, transition, four "
                                             "labels); here are {}",
                                             tokens.size()));
        std::int64_t* const points[] = {&event.source_in, &event.source_out, &event.record_in, &event.record_out};
        for (std::size_t i = 0; i < 4; ++i) {
            auto const frame = edl_frame(tokens[labels + i], m_rate, m_drop_frame);
            if (!frame && !has_drop_frame(m_rate) && tokens[labels + i].find(';') != std::string_view::npos)
                return no_drop_frame(fmt::format("'{}' is a drop-frame label", tokens[labels + i]));
            if (!frame)
                return wrong(m_line, frame.error().what);
            *points[i] = *frame;
            m_guesses_frame_code |=
                has_drop_frame(m_rate) && !m_has_frame_code && depends_on_frame_code(tokens[labels + i]);
        }
        event.drop_frame = m_drop_frame || tokens[labels + 2].find(';') != std::string_view::npos;
        TRY_VOID(head(tokens, labels, event));
        TRY_VOID(pass_midnight(event));
        TRY_VOID(check_order(event));
        m_events.push_back(std::move(event));
        return {};
    }

    /// Number, reel, track, transition and its length: the tokens before the labels. A reel may hold spaces.
    Result<void> head(EdlTokens const& tokens, std::size_t labels, EdlEvent& event)
    {
        auto const end = read_edl_transition(tokens, labels, event);
        if (!end)
            return wrong(m_line, end.error().what);
        if (*end < 3 || !read_edl_tracks(tokens[*end - 1], event))
            return wrong(m_line, fmt::format("'{}' is no track: V, A, A2, AA, B, A2/V or AA/V", tokens[*end - 1]));
        // "V A" in two words.
        bool const has_two = *end > 3 && !event.video && in_capitals(tokens[*end - 2]) == "V";
        event.video = event.video || has_two;
        event.reel = edl_words(tokens, 1, *end - (has_two ? 2 : 1));
        return {};
    }

    /// An out point that is more than half a day before its in point lies on the next day; so does the in point of a
    /// source that runs backwards.
    Result<void> pass_midnight(EdlEvent& event) const
    {
        TRY_ASSIGN(std::int64_t const day, edl_day(m_rate, event.drop_frame));
        if (event.record_length() < -day / 2)
            event.record_out += day;
        if (event.source_length() < -day / 2)
            event.source_out += day;
        else if (event.source_length() > day / 2 && event.record_length() < day / 2)
            event.source_in += day;
        return {};
    }

    Result<void> check_order(EdlEvent const& event) const
    {
        if (event.record_length() < 0)
            return wrong(m_line, fmt::format("event {} ends before it begins in the new film", event.number));
        if (event.transition_frames > event.record_length())
            return wrong(m_line, fmt::format("event {} lasts {} frames and its transition {}", event.number,
                                             event.record_length(), event.transition_frames));
        return {};
    }

    Error no_drop_frame(std::string const& what) const
    {
        return wrong(m_line,
                     fmt::format("{}, which exists at 29.97 and 59.94 frames per second alone; the rate here is "
                                 "{}. Give the list's own rate: --rate 29.97",
                                 what, print_frame_rate(m_rate)));
    }

    /// In the first minute all labels are there, and a semicolon says by itself that some are not.
    static bool depends_on_frame_code(std::string_view label)
    {
        return !all_digits(label) && label.find(';') == std::string_view::npos && !label.starts_with("00:00:");
    }

    Result<void> frame_code(std::string_view line)
    {
        std::string const text = in_capitals(line);
        auto const says = [&](char const* words) { return text.find(words) != std::string::npos; };
        bool const says_none = says("NON") || says("NDF") || says("NO DROP");
        m_drop_frame = !says_none && (says("DROP") || says("DF"));
        m_has_frame_code = true;
        if (has_drop_frame(m_rate) && !m_drop_frame && !says_none)
            return wrong(m_line, "an FCM line says DROP FRAME or NON-DROP FRAME");
        if (m_drop_frame && !has_drop_frame(m_rate))
            return no_drop_frame("the list says drop-frame");
        return {};
    }

    /// "M2 REEL 047.6 01:00:10:21": the speed of the event before it that has this reel.
    Result<void> motion(EdlTokens const& tokens)
    {
        std::string_view const last = tokens.back();
        bool const has_label = tokens.size() > 3 && (last.find_first_of(":;") != std::string_view::npos ||
                                                     (all_digits(last) && millionths(tokens[tokens.size() - 2])));
        std::size_t const at = tokens.size() - (has_label ? 2 : 1);
        if (tokens.size() < 3)
            return wrong(m_line, "M2 names a reel, a speed in frames per second and a label");
        auto const speed = millionths(tokens[at]);
        if (!speed)
            return wrong(m_line, fmt::format("'{}' is no speed in frames per second", tokens[at]));
        std::string const reel = edl_words(tokens, 1, at);
        auto const label = has_label ? edl_frame(last, m_rate, m_drop_frame) : Result<std::int64_t>(Error{});
        EdlEvent* const event = owner_of_motion(reel, label ? std::optional{*label} : std::nullopt);
        if (event == nullptr)
            return wrong(m_line,
                         fmt::format("M2 belongs to the event before it, and that one's reel is not '{}'", reel));
        event->speed = EdlEvent::Speed{*speed, m_line};
        return {};
    }

    /// The last event, or one before it with its number, as the first line of a pair: of those that have the reel the
    /// one whose source begins at the label, else the latest.
    EdlEvent* owner_of_motion(std::string const& reel, std::optional<std::int64_t> label)
    {
        EdlEvent* latest = nullptr;
        for (auto event = m_events.rbegin(); event != m_events.rend() && event->number == m_events.back().number;
             ++event) {
            bool const is_its_reel = in_capitals(event->reel) == in_capitals(reel);
            if (label == event->source_in && (is_its_reel || is_file_name(reel)))
                return &*event;
            if (is_its_reel && latest == nullptr)
                latest = &*event;
        }
        return latest;
    }

    static std::optional<std::int64_t> millionths(std::string_view text)
    {
        bool const negative = text.starts_with('-');
        if (negative || text.starts_with('+'))
            text.remove_prefix(1);
        std::size_t const dot = std::min(text.find_first_of(".,"), text.size());
        std::string decimals{dot < text.size() ? text.substr(dot + 1) : ""};
        if (!all_digits(text.substr(0, dot)) || dot > 6 || decimals.size() > 6 ||
            (!decimals.empty() && !all_digits(decimals)))
            return std::nullopt;
        decimals.resize(6, '0');
        std::int64_t const value = std::stoll(std::string{text.substr(0, dot)}) * 1'000'000 + std::stoll(decimals);
        return negative ? -value : value;
    }

    /// Comments that name the file behind a reel; all others may say what they like.
    void comment(std::string_view line)
    {
        std::size_t const from = line.find_first_not_of("* \t");
        std::string_view const text = from == std::string_view::npos ? "" : line.substr(from);
        auto const begins = [&](std::string_view key) { return in_capitals(text.substr(0, key.size())) == key; };
        auto const rest = [&](std::string_view key) {
            EdlTokens const words = edl_tokens(text.substr(key.size()));
            return edl_words(words, 0, words.size());
        };
        for (std::string_view const key : {"FROM CLIP NAME:", "TO CLIP NAME:"})
            if (begins(key))
                m_names.push_back({m_events.size(), key.starts_with("FROM"), rest(key), &EdlEvent::clip});
        if (std::string_view const key = "SOURCE FILE:"; begins(key)) {
            // Of the two lines of a transition, that of the clip that was named last.
            bool const is_from = !m_names.empty() && m_names.back().events == m_events.size() && m_names.back().is_from;
            m_names.push_back({m_events.size(), is_from, rest(key), &EdlEvent::file});
        }
    }

    /// Names stand after their event. A list whose first name is before its first event, and which ends without one,
    /// has them before. Under the second line of a pair FROM names the first one, unless that had its name already.
    void name_clips()
    {
        bool const before = !m_names.empty() && m_names.front().events == 0 && m_names.back().events < m_events.size();
        for (ClipName const& name : m_names) {
            if (!before && name.events == 0)
                continue;
            std::size_t last = before ? name.events : name.events - 1;
            if (before && is_pair(last))
                ++last;
            bool const names_first =
                name.is_from && last > 0 && is_pair(last - 1) && (m_events[last - 1].*name.member).empty();
            m_events[names_first ? last - 1 : last].*name.member = name.text;
        }
    }

    /// Whether event `first` and the next one are the two lines of a transition.
    bool is_pair(std::size_t first) const
    {
        return first + 1 < m_events.size() && m_events[first].number == m_events[first + 1].number &&
               m_events[first + 1].transition != EdlEvent::Transition::cut;
    }

    struct ClipName {
        std::size_t events; ///< that stand before it
        bool is_from;
        std::string text;
        std::string EdlEvent::*member;
    };

    std::vector<ClipName> m_names;
    std::vector<std::string> m_resembling;
    FrameRate m_rate;
    bool m_drop_frame;
    bool m_has_frame_code = false;
    bool m_guesses_frame_code = false;
    int m_line = 0;
    std::vector<EdlEvent> m_events;
};

} // namespace

std::string EdlEvent::name() const { return fmt::format("event {} (line {})", number, line); }

Result<std::int64_t> edl_frame(std::string_view label, FrameRate rate, bool drop_frame)
{
    if (all_digits(label)) {
        std::int64_t frame = 0;
        auto const result = std::from_chars(label.data(), label.data() + label.size(), frame);
        if (result.ec != std::errc{} || frame > 100'000'000)
            return Error{ErrorKind::invalid_input, fmt::format("no film has a frame {}", label)};
        return frame;
    }
    std::string text{label};
    std::size_t const last = text.find_last_of(":;");
    if (text.find(':') == std::string::npos && last != std::string::npos)
        std::replace(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(last), ';', ':');
    if (drop_frame && last != std::string::npos && text.find(';') == std::string::npos)
        text[last] = ';';
    return timecode_frame(text, rate);
}

Result<std::int64_t> edl_day(FrameRate rate, bool drop_frame)
{
    return timecode_frame(drop_frame ? "24:00:00;00" : "24:00:00:00", rate);
}

Result<EdlList> read_edl_events(std::string_view text, FrameRate rate, bool drop_frame)
{
    Reader reader(rate, drop_frame);
    text = without_byte_order_mark(text);
    if (text.find('\0') != std::string_view::npos)
        return wrong(1, "this is no plain text, or UTF-16; save the list as plain text or UTF-8");
    char const line_end = text.find('\n') != std::string_view::npos ? '\n' : '\r';
    while (!text.empty()) {
        std::size_t const end = std::min(text.find(line_end), text.size());
        std::string_view line = text.substr(0, end);
        text.remove_prefix(std::min(end + 1, text.size()));
        while (line.ends_with('\r'))
            line.remove_suffix(1);
        TRY_VOID(reader.read(line));
    }
    return reader.take();
}

} // namespace tabard::pipeline
