#include "pipeline/retime/edl_events.h"

#include "overlay/base/characters.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <cctype>
#include <charconv>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr std::size_t kMostEvents = 200'000;

using Tokens = std::vector<std::string_view>;

Error wrong(int line, std::string const& what)
{
    return {ErrorKind::invalid_input, fmt::format("line {}: {}", line, what)};
}

Tokens tokens_of(std::string_view line)
{
    Tokens tokens;
    for (std::size_t from = line.find_first_not_of(" \t"); from != std::string_view::npos;) {
        std::size_t const to = std::min(line.find_first_of(" \t", from), line.size());
        tokens.push_back(line.substr(from, to - from));
        from = line.find_first_not_of(" \t", to);
    }
    return tokens;
}

bool all_digits(std::string_view text)
{
    return !text.empty() && std::ranges::all_of(text, [](unsigned char sign) { return std::isdigit(sign) != 0; });
}

std::string upper(std::string_view text)
{
    std::string result{text};
    std::ranges::transform(result, result.begin(), [](unsigned char sign) { return std::toupper(sign); });
    return result;
}

std::string rest_of(Tokens const& tokens, std::size_t from, std::size_t to)
{
    return fmt::format("{}", fmt::join(tokens.begin() + static_cast<std::ptrdiff_t>(from),
                                       tokens.begin() + static_cast<std::ptrdiff_t>(to), " "));
}

/// "V", "B" (picture and sound), "A", "AA", "A2/V", "V2", "NONE".
bool read_tracks(std::string_view text, EdlEvent& event)
{
    for (std::size_t from = 0; from <= text.size();) {
        std::size_t const to = std::min(text.find('/', from), text.size());
        std::string const track = upper(text.substr(from, to - from));
        std::string_view const digits = std::string_view{track}.substr(std::min<std::size_t>(1, track.size()));
        if (track == "B") {
            event.video = event.audio = true;
        } else if (track == "V" || (track.starts_with('V') && all_digits(digits) && digits.size() <= 2)) {
            event.video = true;
            if (track.size() > 1 && std::stoi(std::string{digits}) > 1)
                event.upper_track = std::stoi(std::string{digits});
        } else if (track == "A" || track == "AA" || (track.starts_with('A') && all_digits(digits))) {
            event.audio = true;
        } else if (track != "NONE") {
            return false;
        }
        from = to + 1;
    }
    return true;
}

/// "C", "D", "W001", "K", "KB", "KO".
bool read_transition(std::string_view text, EdlEvent& event)
{
    std::string const name = upper(text);
    if (name == "C")
        event.transition = EdlEvent::Transition::cut;
    else if (name == "D")
        event.transition = EdlEvent::Transition::dissolve;
    else if (name.starts_with('W') && all_digits(std::string_view{name}.substr(1)))
        event.transition = EdlEvent::Transition::wipe;
    else if (name == "K" || name == "KO")
        event.transition = EdlEvent::Transition::key;
    else if (name != "KB")
        return false;
    return true;
}

/// Reads a list line by line.
class Reader {
public:
    explicit Reader(FrameRate rate) : m_rate(rate) {}

    Result<void> read(std::string_view line)
    {
        ++m_line;
        Tokens const tokens = tokens_of(line);
        if (tokens.empty())
            return {};
        if (all_digits(tokens[0]))
            return event(tokens);
        std::string const head = upper(tokens[0]);
        if (head == "FCM:")
            return frame_code(line);
        if (head == "M2")
            return motion(tokens);
        comment(line);
        return {};
    }

    std::vector<EdlEvent> take() { return std::move(m_events); }

private:
    Result<void> event(Tokens const& tokens)
    {
        if (m_events.size() == kMostEvents)
            return wrong(m_line, fmt::format("more than {} events", kMostEvents));
        EdlEvent event;
        event.number = tokens[0];
        event.line = m_line;
        std::size_t end = tokens.size();
        if (end < 8)
            return wrong(m_line, fmt::format("an event has eight parts (number, reel, track, transition, four "
                                             "labels); here are {}",
                                             end));
        end -= 4;
        std::int64_t* const points[] = {&event.source_in, &event.source_out, &event.record_in, &event.record_out};
        for (std::size_t i = 0; i < 4; ++i) {
            auto const frame = edl_frame(tokens[end + i], m_rate, m_drop_frame);
            if (!frame)
                return wrong(m_line, frame.error().what);
            *points[i] = *frame;
        }
        TRY_VOID(head(tokens, end, event));
        TRY_VOID(check_order(event));
        m_events.push_back(std::move(event));
        return {};
    }

    /// Number, reel, track, transition and its length: the tokens before the labels. A reel may hold spaces.
    Result<void> head(Tokens const& tokens, std::size_t end, EdlEvent& event)
    {
        std::string_view const last = tokens[end - 1];
        bool const has_length = all_digits(last) && end >= 5;
        if (has_length) {
            auto const result = std::from_chars(last.data(), last.data() + last.size(), event.transition_frames);
            if (result.ec != std::errc{})
                return wrong(m_line, fmt::format("'{}' is no length of a transition", last));
            --end;
        }
        if (!read_transition(tokens[end - 1], event))
            return wrong(m_line, fmt::format("'{}' is no transition: C, D, W and a wipe's number, K, KB or KO",
                                             tokens[end - 1]));
        if (end < 4 || !read_tracks(tokens[end - 2], event))
            return wrong(m_line, fmt::format("'{}' is no track: V, A, A2, AA, B, A2/V or AA/V", tokens[end - 2]));
        event.reel = rest_of(tokens, 1, end - 2);
        bool const needs_length =
            event.transition == EdlEvent::Transition::dissolve || event.transition == EdlEvent::Transition::wipe;
        if (needs_length && !has_length)
            return wrong(m_line, "a dissolve or wipe needs its length in frames before the labels");
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

    Result<void> frame_code(std::string_view line)
    {
        std::string const text = upper(line);
        m_drop_frame = text.find("DROP") != std::string::npos && text.find("NON") == std::string::npos;
        if (m_drop_frame && !(m_rate.den == 1001 && (m_rate.num == 30000 || m_rate.num == 60000)))
            return wrong(m_line, fmt::format("the list says drop-frame, which exists at 29.97 and 59.94 frames per "
                                             "second alone; the rate given is {}",
                                             print_frame_rate(m_rate)));
        return {};
    }

    /// "M2 REEL 047.6 01:00:10:21": the speed of the event before it that has this reel.
    Result<void> motion(Tokens const& tokens)
    {
        bool const has_label = tokens.size() > 3 && tokens.back().find(':') != std::string_view::npos;
        std::size_t const at = tokens.size() - (has_label ? 2 : 1);
        if (tokens.size() < 3)
            return wrong(m_line, "M2 names a reel, a speed in frames per second and a label");
        auto const speed = millionths(tokens[at]);
        if (!speed)
            return wrong(m_line, fmt::format("'{}' is no speed in frames per second", tokens[at]));
        EdlEvent* const event = owner_of_motion(rest_of(tokens, 1, at));
        if (event == nullptr)
            return wrong(m_line, fmt::format("M2 belongs to the event before it, and that one's reel is not '{}'",
                                             rest_of(tokens, 1, at)));
        event->speed = EdlEvent::Speed{*speed, m_line};
        return {};
    }

    /// The last event, or the first line of the pair that it ends: whichever has the reel.
    EdlEvent* owner_of_motion(std::string const& reel)
    {
        for (std::size_t back = 1; back <= std::min<std::size_t>(2, m_events.size()); ++back) {
            EdlEvent& event = m_events[m_events.size() - back];
            if (upper(event.reel) == upper(reel) && event.number == m_events.back().number)
                return &event;
        }
        return nullptr;
    }

    static std::optional<std::int64_t> millionths(std::string_view text)
    {
        bool const negative = text.starts_with('-');
        if (negative || text.starts_with('+'))
            text.remove_prefix(1);
        std::size_t const dot = std::min(text.find('.'), text.size());
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
        if (m_events.empty())
            return;
        std::size_t const from = line.find_first_not_of("* \t");
        std::string_view const text = from == std::string_view::npos ? "" : line.substr(from);
        for (std::string_view const key : {"FROM CLIP NAME:", "TO CLIP NAME:"}) {
            if (!upper(text.substr(0, key.size())).starts_with(key))
                continue;
            std::string const name =
                rest_of(tokens_of(text.substr(key.size())), 0, tokens_of(text.substr(key.size())).size());
            EdlEvent& last = m_events.back();
            bool const pair = m_events.size() > 1 && m_events[m_events.size() - 2].number == last.number &&
                              last.transition != EdlEvent::Transition::cut;
            EdlEvent& owner = pair && key.starts_with("FROM") ? m_events[m_events.size() - 2] : last;
            owner.clip = name;
        }
    }

    FrameRate m_rate;
    bool m_drop_frame = false;
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
    if (drop_frame && text.rfind(':') != std::string::npos && text.find(';') == std::string::npos)
        text[text.rfind(':')] = ';';
    return timecode_frame(text, rate);
}

Result<std::vector<EdlEvent>> read_edl_events(std::string_view text, FrameRate rate)
{
    Reader reader(rate);
    text = without_byte_order_mark(text);
    while (!text.empty()) {
        std::size_t const end = std::min(text.find('\n'), text.size());
        std::string_view line = text.substr(0, end);
        text.remove_prefix(std::min(end + 1, text.size()));
        while (line.ends_with('\r'))
            line.remove_suffix(1);
        TRY_VOID(reader.read(line));
    }
    return reader.take();
}

} // namespace tabard::pipeline
