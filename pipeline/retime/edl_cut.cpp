#include "pipeline/retime/edl_cut.h"

#include "pipeline/retime/cut_source.h"
#include "pipeline/retime/edl_events.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <cctype>
#include <cstdlib>
#include <map>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

using Transition = EdlEvent::Transition;

Error wrong(std::string what) { return {ErrorKind::invalid_input, std::move(what)}; }

bool blends(EdlEvent const& event)
{
    return event.transition == Transition::dissolve || event.transition == Transition::wipe;
}

std::string upper(std::string text)
{
    std::ranges::transform(text, text.begin(), [](unsigned char sign) { return std::toupper(sign); });
    return text;
}

/// Black, colour bars and slugs are no footage, whatever they are called.
bool is_generated(EdlEvent const& event)
{
    std::string const reel = upper(event.reel);
    return reel == "BL" || reel == "BLK" || reel == "BLACK" || reel == "BARS";
}

/// Lists of file-based editing call every reel AX and say the file in a comment.
std::string source_name(EdlEvent const& event)
{
    bool const by_clip = !event.clip.empty() && upper(event.reel) == "AX";
    return by_clip ? event.clip : event.reel;
}

/// How many source frames an event shows by its speed; its record length without one.
std::int64_t frames_by_speed(EdlEvent const& event, FrameRate rate)
{
    if (!event.speed)
        return event.record_length();
    Time const shown = from_frame(event.record_length(), rate);
    return std::llabs(to_ticks(shown, 1'000'000, std::max<std::int64_t>(1, std::llabs(event.speed->millionths))));
}

/// Makes source and record side agree, or adds to `disagreeing`.
void reconcile(EdlEvent& event, CutOptions const& options, std::vector<std::string>& disagreeing)
{
    if (event.speed && event.speed->millionths == 0) {
        event.source_out = event.source_in;
        return;
    }
    if (event.speed && event.speed->millionths < 0 && event.source_out < event.source_in)
        std::swap(event.source_in, event.source_out);
    std::int64_t const expected = frames_by_speed(event, *options.rate);
    // A speed is written with one decimal and lengths are whole frames, so they agree to about a frame.
    std::int64_t const tolerance = event.speed ? 1 + event.record_length() / 250 : 0;
    if (event.source_length() > 0 || expected == 0) {
        if (std::llabs(event.source_length() - expected) <= tolerance)
            return;
    }
    bool const speed_alone_tells = event.speed && event.source_length() == event.record_length();
    if (!speed_alone_tells)
        disagreeing.push_back(fmt::format("{}: source {} frames, new film {}", event.name(), event.source_length(),
                                          event.record_length()));
    event.source_out = event.source_in + expected;
}

Error disagreement(std::vector<std::string> const& events)
{
    std::size_t const named = std::min<std::size_t>(events.size(), 8);
    std::string text =
        fmt::format("{}", fmt::join(events.begin(), events.begin() + static_cast<std::ptrdiff_t>(named), "; "));
    if (events.size() > named)
        text += fmt::format(" and {} more", events.size() - named);
    return wrong(fmt::format("source and record lengths disagree in {}. With --lenient the record side counts", text));
}

/// Events as stretches of picture.
class Cutter {
public:
    Cutter(CutOptions const& options, std::int64_t source_start, std::int64_t record_start)
        : m_rate(*options.rate), m_source_start(source_start), m_record_start(record_start)
    {
    }

    Result<void> add(EdlEvent const* before, EdlEvent const& event)
    {
        std::int64_t from = event.record_in;
        if (blends(event)) {
            std::int64_t const middle = event.record_in + event.transition_frames / 2;
            if (before != nullptr && before->record_out == event.record_in) {
                TRY_VOID(add_stretch(*before, event.record_in, middle));
            }
            from = middle;
        }
        return add_stretch(event, from, event.record_out);
    }

    std::vector<CutShot> const& shots() const { return m_shots; }
    std::vector<CutSource> const& sources() const { return m_sources; }
    /// Frames of the new film that black or bars fill.
    Time end() const { return m_end; }

private:
    /// What `event` shows from `from` to `to` of the new film; past its own ends its source runs on at its speed.
    Result<void> add_stretch(EdlEvent const& event, std::int64_t from, std::int64_t to)
    {
        if (from == to)
            return {};
        m_end = std::max(m_end, record_time(to));
        if (is_generated(event))
            return {};
        KeptSpan const whole = span_of(event);
        Interval const target{record_time(from), record_time(to)};
        Time const one = whole.back(target.from);
        Time const other = whole.back(target.to);
        m_shots.push_back({source_index(event), {{std::min(one, other), std::max(one, other)}, target, whole.motion}});
        return {};
    }

    KeptSpan span_of(EdlEvent const& event) const
    {
        Motion motion = Motion::forward;
        if (event.speed && event.speed->millionths == 0)
            motion = Motion::freeze;
        else if (event.speed && event.speed->millionths < 0)
            motion = Motion::reverse;
        // The first line of a pair has no length: what runs on from it runs at normal speed.
        bool const point = event.record_length() == 0;
        std::int64_t const source_out = point ? event.source_in + 1 : event.source_out;
        std::int64_t const record_out = point ? event.record_in + 1 : event.record_out;
        return {{source_time(event.source_in), source_time(source_out)},
                {record_time(event.record_in), record_time(record_out)},
                motion};
    }

    Time source_time(std::int64_t frame) const
    {
        return from_frame(frame, m_rate) - from_frame(m_source_start, m_rate);
    }
    Time record_time(std::int64_t frame) const
    {
        return from_frame(frame, m_rate) - from_frame(m_record_start, m_rate);
    }

    std::size_t source_index(EdlEvent const& event)
    {
        std::string const name = source_name(event);
        auto const [entry, is_new] = m_by_name.try_emplace(name, m_sources.size());
        if (is_new)
            m_sources.push_back({{name}, 0});
        CutSource& source = m_sources[entry->second];
        ++source.uses;
        if (!event.clip.empty() && source.names.size() < 16 &&
            std::ranges::find(source.names, event.clip) == source.names.end())
            source.names.push_back(event.clip);
        return entry->second;
    }

    FrameRate m_rate;
    std::int64_t m_source_start;
    std::int64_t m_record_start;
    std::vector<CutShot> m_shots;
    std::vector<CutSource> m_sources;
    std::map<std::string, std::size_t> m_by_name;
    Time m_end{0};
};

/// A zero-length cut belongs to the dissolve or wipe after it: both lines carry one number.
Result<void> check_pairs(std::vector<EdlEvent> const& events)
{
    for (std::size_t i = 0; i < events.size(); ++i) {
        if (!blends(events[i]))
            continue;
        EdlEvent const* const before = i > 0 ? &events[i - 1] : nullptr;
        bool const has_first_line = before != nullptr && before->record_out == events[i].record_in;
        if (!has_first_line)
            return wrong(fmt::format("{} is a dissolve or wipe, and no line before it says what it leads over from",
                                     events[i].name()));
        if (before->record_length() == 0 && before->number != events[i].number)
            return wrong(fmt::format("{} and {} are the two lines of one transition, and their numbers differ",
                                     before->name(), events[i].name()));
    }
    return {};
}

Result<void> check_no_overlap(std::vector<EdlEvent> const& events, FrameRate rate)
{
    std::vector<EdlEvent const*> order;
    for (EdlEvent const& event : events)
        if (event.record_length() > 0)
            order.push_back(&event);
    std::ranges::stable_sort(order, {}, &EdlEvent::record_in);
    for (std::size_t i = 1; i < order.size(); ++i) {
        if (order[i]->record_in < order[i - 1]->record_out)
            return wrong(fmt::format("{} and {} overlap in the new film at {}", order[i - 1]->name(), order[i]->name(),
                                     timecode_label(order[i]->record_in, {rate, false})));
    }
    return {};
}

/// The events that say what is to be seen; where there is no picture at all, what is to be heard.
std::vector<EdlEvent> followed_events(std::vector<EdlEvent> const& all, std::vector<std::string>& remarks)
{
    bool const has_picture = std::ranges::any_of(all, &EdlEvent::video);
    std::vector<EdlEvent> events;
    int keys = 0;
    int upper_tracks = 0;
    for (EdlEvent const& event : all) {
        if (!(has_picture ? event.video : event.audio))
            continue;
        keys += event.transition == Transition::key ? 1 : 0;
        upper_tracks += event.upper_track > 0 ? 1 : 0;
        if (event.transition != Transition::key && event.upper_track == 0)
            events.push_back(event);
    }
    if (!has_picture && !events.empty())
        remarks.push_back("the list has no video track: the cut follows its sound");
    if (keys > 0)
        remarks.push_back(
            fmt::format("{} key event{} laid over the picture, not followed", keys, keys == 1 ? "" : "s"));
    if (upper_tracks > 0)
        remarks.push_back(
            fmt::format("{} event{} on tracks above V1, not followed", upper_tracks, upper_tracks == 1 ? "" : "s"));
    return events;
}

/// What is on screen before event `index`: the first line of its pair, or the event that this line only goes on with,
/// which knows the speed.
EdlEvent const* outgoing(std::vector<EdlEvent> const& events, std::size_t index)
{
    if (index == 0)
        return nullptr;
    EdlEvent const& line = events[index - 1];
    if (index < 2 || line.record_length() > 0)
        return &line;
    EdlEvent const& shown = events[index - 2];
    bool const goes_on =
        shown.record_out == line.record_in && shown.reel == line.reel && shown.source_out == line.source_in;
    return goes_on ? &shown : &line;
}

Result<std::int64_t> start_frame(std::string const& label, FrameRate rate, std::int64_t otherwise)
{
    if (label.empty())
        return otherwise;
    return edl_frame(label, rate, false);
}

// Most editing programs count by the labels that the camera wrote, a few from zero whatever these say.
Result<std::int64_t> footage_start(std::vector<EdlEvent> const& events, CutOptions const& options)
{
    if (!options.source_start.empty() || options.footage_label.empty() || !options.footage_length)
        return start_frame(options.source_start, *options.rate, 0);
    auto const label = edl_frame(options.footage_label, *options.rate, false);
    if (!label)
        return 0;
    std::int64_t const frames = frame_at(*options.footage_length, *options.rate);
    bool const counted_by_it = std::ranges::any_of(events, [&](EdlEvent const& event) {
        return !is_generated(event) && event.source_in >= *label && event.source_in < *label + frames;
    });
    return counted_by_it ? *label : 0;
}

} // namespace

Result<CutReading> parse_edl_cut(std::string_view text, CutOptions const& options)
{
    if (!options.rate)
        return wrong("an edit list does not say its frame rate, and there is no footage to take it from: give it with "
                     "--rate, for instance --rate 29.97");
    TRY_ASSIGN(auto const all, read_edl_events(text, *options.rate));
    if (all.empty())
        return wrong("there is no event in the list");
    std::vector<std::string> remarks;
    auto events = followed_events(all, remarks);
    std::vector<std::string> disagreeing;
    for (EdlEvent& event : events)
        reconcile(event, options, disagreeing);
    if (!disagreeing.empty() && !options.lenient)
        return disagreement(disagreeing);
    if (!disagreeing.empty())
        remarks.push_back(
            fmt::format("{} events whose lengths disagree were read by their record side", disagreeing.size()));
    TRY_VOID(check_pairs(events));
    TRY_VOID(check_no_overlap(events, *options.rate));
    TRY_ASSIGN(auto const source_start, footage_start(events, options));
    std::int64_t const earliest = std::ranges::min(all, {}, &EdlEvent::record_in).record_in;
    TRY_ASSIGN(auto const record_start, start_frame(options.record_start, *options.rate, earliest));
    Cutter cutter(options, source_start, record_start);
    for (std::size_t i = 0; i < events.size(); ++i)
        TRY_VOID(cutter.add(outgoing(events, i), events[i]));
    TRY_ASSIGN(auto reading, cut_of_shots(cutter.shots(), cutter.sources(), options));
    reading.new_length = std::max(reading.new_length, cutter.end());
    if (options.record_start.empty())
        reading.first_frame = record_start;
    reading.remarks.insert(reading.remarks.begin(), remarks.begin(), remarks.end());
    return reading;
}

} // namespace tabard::pipeline
