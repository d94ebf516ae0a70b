#include "pipeline/retime/edl_cut.h"

#include "pipeline/retime/cut_source.h"
#include "pipeline/retime/edl_events.h"
#include "pipeline/retime/edl_extent.h"
#include "pipeline/retime/edl_line.h"
#include "pipeline/retime/edl_midnight.h"
#include "pipeline/retime/short_list.h"
#include "pipeline/retime/source_choice.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <cstdlib>
#include <map>
#include <set>
#include <tuple>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::pipeline {
namespace {

using Transition = EdlEvent::Transition;

Error wrong(std::string what) { return {ErrorKind::invalid_input, std::move(what)}; }

bool blends(EdlEvent const& event)
{
    return event.transition == Transition::dissolve || event.transition == Transition::wipe;
}

/// Black, colour bars and slugs: what lists call so.
bool is_called_generated(EdlEvent const& event)
{
    std::string const reel = in_capitals(event.reel);
    return reel == "BL" || reel == "BLK" || reel == "BLACK" || reel == "BARS";
}

CutSource source_of(EdlEvent const& event)
{
    CutSource source = source_called(event.reel, event.clip, event.file);
    if (is_called_generated(event))
        source.picture = CutSource::Picture::called_generated;
    return source;
}

/// Whether an event may show the footage: black does not, unless the footage is called so.
bool may_be_footage(EdlEvent const& event, CutOptions const& options)
{
    CutSource const source = source_of(event);
    return source.picture == CutSource::Picture::filmed || source.is_called(options.footage) ||
           source.is_called(options.source);
}

/// "event 003 (line 12): source 49 frames, new film 47"
std::string disagreement(EdlEvent const& event, EdlExtent const& extent, FrameRate rate)
{
    std::string text =
        fmt::format("{}: source {} frames, new film {}", event.name(), event.source_length(), event.record_length());
    if (event.speed)
        text += fmt::format(", which its speed (line {}) makes {} of the source", event.speed->line,
                            to_ticks(extent.source.length(), rate.den, rate.num));
    return text;
}

/// Events as stretches of picture.
class Cutter {
public:
    Cutter(FrameRate rate, std::int64_t source_start, std::int64_t record_start)
        : m_rate(rate), m_source_start(from_frame(source_start, rate)), m_record_start(from_frame(record_start, rate))
    {
    }

    Result<void> add(EdlEvent const* before, EdlEvent const& event)
    {
        std::int64_t from = event.record_in;
        if (event.record_length() > 0) {
            if (event.source_length() < 0 && !event.speed)
                m_backwards.emplace_back(source_index(event), event.name());
            else if (EdlExtent const extent = edl_extent(event, m_rate); !extent.agrees)
                m_disagreeing.emplace_back(source_index(event), disagreement(event, extent, m_rate));
        }
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
    /// Notes which sources lie wholly in footage of this length, whose own labels the list counts by.
    void compare_with_timecode(Time footage_length)
    {
        for (CutSource& source : m_sources)
            source.by_timecode = true;
        for (CutShot const& shot : m_shots)
            if (shot.span.source.from < Time{0} || shot.span.source.to > footage_length)
                m_sources[shot.source].by_timecode = false;
    }
    /// Events whose labels and speed say different things, in words, with the source of each.
    std::vector<std::pair<std::size_t, std::string>> const& disagreeing() const { return m_disagreeing; }
    /// Events whose source ends before it begins, and which no M2 line lets run backwards, with the source of each.
    std::vector<std::pair<std::size_t, std::string>> const& backwards() const { return m_backwards; }
    /// Of the new film.
    Time end() const { return m_end; }

private:
    /// What `event` shows from `from` to `to` of the new film; past its own ends its source runs on at its speed.
    Result<void> add_stretch(EdlEvent const& event, std::int64_t from, std::int64_t to)
    {
        if (from == to)
            return {};
        m_end = std::max(m_end, record_time(to));
        KeptSpan const whole = span_of(event);
        Interval const target{record_time(from), record_time(to)};
        Time const one = whole.back(target.from);
        Time const other = whole.back(target.to);
        m_shots.push_back({source_index(event), {{std::min(one, other), std::max(one, other)}, target, whole.motion}});
        return {};
    }

    KeptSpan span_of(EdlEvent const& event) const
    {
        KeptSpan span;
        if (event.record_length() == 0) {
            // The first line of a pair has no length.
            span = edl_running_on(event, m_rate);
        } else {
            span.source = edl_extent(event, m_rate).source;
            span.target = {from_frame(event.record_in, m_rate), from_frame(event.record_out, m_rate)};
            if (event.speed && event.speed->millionths <= 0)
                span.motion = event.speed->millionths == 0 ? Motion::freeze : Motion::reverse;
        }
        span.source = {span.source.from - m_source_start, span.source.to - m_source_start};
        span.target = {span.target.from - m_record_start, span.target.to - m_record_start};
        return span;
    }

    Time record_time(std::int64_t frame) const { return from_frame(frame, m_rate) - m_record_start; }

    std::size_t source_index(EdlEvent const& event)
    {
        std::string const name = in_capitals(event.reel) + "\n" + event.clip + "\n" + event.file;
        auto const [entry, is_new] = m_by_name.try_emplace(name, m_sources.size());
        if (is_new)
            m_sources.push_back(source_of(event));
        ++m_sources[entry->second].uses;
        return entry->second;
    }

    FrameRate m_rate;
    Time m_source_start;
    Time m_record_start;
    std::vector<CutShot> m_shots;
    std::vector<CutSource> m_sources;
    std::map<std::string, std::size_t> m_by_name;
    std::vector<std::pair<std::size_t, std::string>> m_disagreeing;
    std::vector<std::pair<std::size_t, std::string>> m_backwards;
    Time m_end{0};
};

/// What other sources than the footage show moves no cue, so that their lengths may say what they like.
Result<void> check_lengths(Cutter const& cutter, CutOptions const& options, std::vector<std::string>& remarks)
{
    if (cutter.disagreeing().empty() && cutter.backwards().empty())
        return {};
    TRY_ASSIGN(SourceChoice const footage, choose_sources(cutter.sources(), options));
    auto const of_footage = [&](std::vector<std::pair<std::size_t, std::string>> const& all) {
        std::vector<std::string> events;
        for (auto const& [source, words] : all)
            if (std::ranges::find(footage.sources, source) != footage.sources.end())
                events.push_back(words);
        return events;
    };
    if (auto const events = of_footage(cutter.backwards()); !events.empty())
        return wrong(fmt::format("the source ends before it begins in {}. What runs backwards needs an M2 line with a "
                                 "negative speed; else the labels are wrong",
                                 short_list(events, "; ")));
    std::vector<std::string> const events = of_footage(cutter.disagreeing());
    if (events.empty())
        return {};
    if (!options.lenient)
        return wrong(fmt::format("source and record lengths disagree in {}. With --lenient the record side counts",
                                 short_list(events, "; ")));
    remarks.push_back(fmt::format("{} event{} whose lengths disagree {} read by the record side", events.size(),
                                  events.size() == 1 ? "" : "s", events.size() == 1 ? "was" : "were"));
    return {};
}

/// Many lists name the clip of a reel once: events without a name go with it, where their reel has one alone.
void name_reels(std::vector<EdlEvent>& events)
{
    std::map<std::string, std::set<std::pair<std::string, std::string>>> clips;
    for (EdlEvent const& event : events)
        if (!event.clip.empty() || !event.file.empty())
            clips[in_capitals(event.reel)].insert({event.clip, event.file});
    for (EdlEvent& event : events) {
        auto const of_reel = clips.find(in_capitals(event.reel));
        bool const tells = of_reel != clips.end() && of_reel->second.size() == 1 && of_reel->first != "AX";
        if (tells && event.clip.empty() && event.file.empty() && !is_called_generated(event))
            std::tie(event.clip, event.file) = *of_reel->second.begin();
    }
}

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

/// Sound on two tracks is written in two events.
bool repeats_last(std::vector<EdlEvent> const& events, EdlEvent const& event)
{
    if (events.empty())
        return false;
    EdlEvent const& last = events.back();
    return last.reel == event.reel && last.source_in == event.source_in && last.record_in == event.record_in &&
           last.record_out == event.record_out;
}

/// The events that say what is to be seen; where there is no picture at all, what is to be heard.
std::vector<EdlEvent> followed_events(std::vector<EdlEvent> const& all, std::vector<std::string>& remarks)
{
    bool const has_picture = std::ranges::any_of(all, &EdlEvent::video);
    std::vector<EdlEvent> events;
    int keys = 0;
    std::set<std::string> upper_tracks;
    for (EdlEvent const& event : all) {
        if (!(has_picture ? event.video : event.audio))
            continue;
        keys += event.transition == Transition::key ? 1 : 0;
        if (event.upper_track > 0)
            upper_tracks.insert(fmt::format("{} on V{}", source_of(event).name(), event.upper_track));
        else if (event.transition != Transition::key && (has_picture || !repeats_last(events, event)))
            events.push_back(event);
    }
    if (!has_picture && !events.empty())
        remarks.push_back("the list has no video track: the cut follows its sound");
    if (keys > 0)
        remarks.push_back(
            fmt::format("{} key event{} laid over the picture, not followed", keys, keys == 1 ? "" : "s"));
    if (!upper_tracks.empty())
        remarks.push_back(
            fmt::format("only V1 is followed, not {}", short_list({upper_tracks.begin(), upper_tracks.end()})));
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

/// Source labels of the next day, where the footage begins before midnight at `start`.
Result<void> count_on_from(std::int64_t start, std::vector<EdlEvent>& events, FrameRate rate)
{
    for (EdlEvent& event : events) {
        TRY_ASSIGN(std::int64_t const day, edl_day(rate, event.drop_frame));
        if (start - event.source_in <= day / 2)
            continue;
        event.source_in += day;
        event.source_out += day;
    }
    return {};
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
        auto const day = edl_day(*options.rate, event.drop_frame);
        bool const next_day = day && event.source_in + *day < *label + frames;
        return may_be_footage(event, options) && (event.source_in >= *label || next_day) &&
               event.source_in < *label + frames;
    });
    return counted_by_it ? *label : 0;
}

} // namespace

Result<CutReading> parse_edl_cut(std::string_view text, CutOptions const& options)
{
    if (!options.rate)
        return wrong("an edit list does not say its frame rate, and there is no footage to take it from: give it with "
                     "--rate, for instance --rate 29.97");
    // Where the list does not say how it counts, it likely counts as the footage does.
    bool const drop_frame = options.footage_label.find(';') != std::string::npos;
    TRY_ASSIGN(EdlList list, read_edl_events(text, *options.rate, drop_frame));
    if (list.events.empty())
        return wrong("there is no event in the list");
    std::vector<std::string> remarks = std::move(list.remarks);
    TRY_VOID(continue_past_midnight(list.events, *options.rate, remarks));
    auto events = followed_events(list.events, remarks);
    name_reels(events);
    TRY_VOID(check_pairs(events));
    TRY_VOID(check_no_overlap(events, *options.rate));
    TRY_ASSIGN(auto const source_start, footage_start(events, options));
    TRY_VOID(count_on_from(source_start, events, *options.rate));
    std::int64_t const earliest = std::ranges::min(list.events, {}, &EdlEvent::record_in).record_in;
    TRY_ASSIGN(auto const record_start, start_frame(options.record_start, *options.rate, earliest));
    Cutter cutter(*options.rate, source_start, record_start);
    for (std::size_t i = 0; i < events.size(); ++i)
        TRY_VOID(cutter.add(outgoing(events, i), events[i]));
    if (telling_label(options) == from_frame(source_start, *options.rate) && options.footage_length)
        cutter.compare_with_timecode(*options.footage_length);
    TRY_VOID(check_lengths(cutter, options, remarks));
    auto reading = cut_of_shots({cutter.shots(), {}}, cutter.sources(), options);
    if (!reading)
        return wrong(remarks.empty() ? reading.error().what
                                     : fmt::format("{} ({})", reading.error().what, fmt::join(remarks, "; ")));
    if (reading->map.spans().front().target.from < Time{0})
        return wrong(
            fmt::format("the footage is seen before {}, which --record-start says is the film's first frame; the "
                        "list begins at {}",
                        options.record_start, timecode_label(earliest, {*options.rate, drop_frame})));
    reading->new_length = std::max(reading->new_length, cutter.end());
    if (options.record_start.empty())
        reading->first_frame = record_start;
    reading->remarks.insert(reading->remarks.begin(), remarks.begin(), remarks.end());
    reading->doubts = std::move(list.doubts);
    return reading;
}

} // namespace tabard::pipeline
