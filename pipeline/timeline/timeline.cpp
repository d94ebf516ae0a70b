#include "pipeline/timeline/timeline.h"

#include "overlay/music/capo/capo.h"
#include "overlay/music/hand/movement.h"
#include "overlay/music/shapes/sounding.h"
#include "pipeline/cues/meter_ticks.h"
#include "pipeline/timeline/layer_track.h"
#include "pipeline/timeline/placement.h"
#include "pipeline/timeline/resting.h"
#include "pipeline/timeline/ribbon_bars.h"
#include "pipeline/timeline/spans.h"
#include "pipeline/timeline/strum_steps.h"

#include <algorithm>
#include <array>
#include <map>
#include <utility>
#include <variant>

namespace tabard::pipeline {
namespace {

constexpr Time kBannerLength{3 * kFlicksPerSecond};

std::vector<int> staying_fingers(std::optional<overlay::Shape> const& from, std::optional<overlay::Shape> const& to)
{
    return from && to ? overlay::strings_that_stay(*from, *to) : std::vector<int>{};
}

bool plucks_bass(overlay::StrumPattern const& pattern)
{
    return std::ranges::any_of(pattern.steps, [](overlay::StrumStep const& step) {
        return std::ranges::any_of(step.plucks, [](overlay::Pluck const& pluck) { return pluck.string == 0; });
    });
}

/// Which of the pulses before `offset` begin a group, the last of them in bit 0; 0 where all weigh alike.
overlay::GroupStarts groups_before(std::int64_t offset, TempoMap const& map)
{
    overlay::Meter const meter = map.meter();
    overlay::GroupStarts const in_bar = meter.pulse_groups();
    overlay::GroupStarts groups = 0;
    for (int back = 0; in_bar != 0 && back < overlay::kBeatsAhead; ++back) {
        std::int64_t const place = map.place_before(offset, (back + 1) * pulse_ticks(meter));
        std::int64_t const pulse = place % bar_ticks(meter) / pulse_ticks(meter);
        if (overlay::begins_group(in_bar, static_cast<int>(pulse)))
            groups |= overlay::GroupStarts{1} << back;
    }
    return groups;
}

/// A step in the chord that it is played on.
struct StrumStepSpan {
    Time in{0};
    Time out{0};
    int step = 0;
    bool sounds = false; ///< a stroke, and there is a chord
    bool silent = false; ///< there is none
    int bass_string = 0;
};

} // namespace

struct Timeline::Impl {
    Lesson lesson;
    MediaFacts facts;
    Spans spans;
    overlay::CapoLine capo_line;
    std::vector<std::size_t> span_of;      ///< section of the lesson to its span
    std::vector<std::size_t> first_played; ///< section span to the first of spans.played in it, or their number
    std::vector<std::size_t> next_of;      ///< chord to the chord that is announced with it; itself where none is
    std::vector<int> crowding;             ///< section span to that of its most crowded bar
    std::array<LayerTrack, 8> tracks;      ///< back to front
    std::vector<Time> instants;

    Section const& section_of(SectionSpan const& span) const
    {
        return lesson.sections[static_cast<std::size_t>(span.section)];
    }
    void index_spans();
    void find_next_chords();
    std::vector<int> anchored_strings(ChordSpan const& span) const;
    std::string subtitle(std::size_t section) const;
    std::vector<LayerSpan> capo_track() const;
    std::vector<LayerSpan> ribbon_track() const;
    std::vector<LayerSpan> strum_track() const;
    std::vector<StrumStepSpan> strum_steps(StrumSpan const& span) const;
    void add_strum_steps(std::vector<LayerSpan>& track, std::size_t index) const;
    std::vector<int> bars_from(SectionSpan const& span, int first) const;
    Time ready_from(SectionSpan const& span, std::vector<LayerSpan> const& before) const;
    bool is_cue(LayerItem const& item) const;
    template <class Cue>
    std::vector<LayerSpan> around_cues(std::vector<LayerSpan> track, std::vector<Cue> const& cues) const;
    std::vector<LayerSpan> chord_track() const;
    std::vector<LayerSpan> next_chord_track() const;
    std::vector<LayerSpan> text_track() const;
    std::vector<LayerSpan> banner_track() const;
    std::vector<LayerSpan> count_in_track() const;
    Time count_in_start(SectionSpan const& span) const;
    int pulses_counted_in(SectionSpan const& span) const;

    overlay::LayerContent content(CapoItem const& item) const;
    overlay::LayerContent content(BarItem const& item) const;
    overlay::LayerContent content(StrumItem const& item) const;
    overlay::LayerContent content(ChordItem const& item) const;
    overlay::LayerContent content(NextChordItem const& item) const;
    overlay::LayerContent content(TextItem const& item) const;
    overlay::LayerContent content(BannerItem const& item) const;
    overlay::LayerContent content(CountInItem const& item) const;
    SectionSpan const& span_of_section(int section) const;
    Time room_from(LayerSpan const& span) const;
    /// The section that an item belongs to. A next chord stays beside the chord that it follows.
    SectionSpan const& span_around(StrumItem const& item) const;
    SectionSpan const& span_around(ChordItem const& item) const;
    SectionSpan const& span_around(NextChordItem const& item) const;
    SectionSpan const& span_around(TextItem const& item) const;
    template <class Item>
    SectionSpan const& span_around(Item const& item) const
    {
        return spans.sections[item.section];
    }
    std::optional<overlay::Corner> corner(LayerItem const& item) const;
};

void Timeline::Impl::index_spans()
{
    span_of.resize(lesson.sections.size());
    for (std::size_t i = 0; i < spans.sections.size(); ++i)
        span_of[static_cast<std::size_t>(spans.sections[i].section)] = i;
    first_played.resize(spans.sections.size(), spans.played.size());
    for (std::size_t i = spans.played.size(); i-- > 0;)
        first_played[spans.played[i].section] = i;
    for (SectionSpan& span : spans.sections) {
        span.shown_from = std::min(span.in, count_in_start(span));
        auto const& bars = section_of(span).bars;
        crowding.push_back(bars ? bar_crowding(bars->value) : 0);
    }
}

void Timeline::Impl::find_next_chords()
{
    next_of.resize(spans.chords.size());
    for (std::size_t i = 0; i < next_of.size(); ++i)
        next_of[i] = i;
    for (std::size_t i = 0; i + 1 < spans.played.size(); ++i) {
        std::size_t const here = spans.played[i].chord;
        std::size_t const there = spans.played[i + 1].chord;
        if (spans.chords[here].out == spans.chords[there].in && spans.chords[here].name != spans.chords[there].name)
            next_of[here] = there;
    }
}

std::vector<int> Timeline::Impl::anchored_strings(ChordSpan const& span) const
{
    std::vector<int> strings;
    if (span.played && span.shape)
        for (overlay::Hold const& hold : spans.anchors[span_of[static_cast<std::size_t>(span.section)]])
            strings.push_back(hold.string);
    return strings;
}

std::string Timeline::Impl::subtitle(std::size_t section) const
{
    if (section == 0 && !lesson.title->empty())
        return *lesson.title;
    std::string words = overlay::anchor_text(spans.anchors[section], lesson.tuning->strings());
    return words.empty() ? words : "K" + words.substr(1);
}

/// From when on what is played may be seen before its first beat: from the count-in, as soon as nothing else of its
/// kind is there.
Time Timeline::Impl::ready_from(SectionSpan const& span, std::vector<LayerSpan> const& before) const
{
    Time from = pulses_counted_in(span) > 0 ? count_in_start(span) : span.bars_in;
    for (LayerSpan const& other : before)
        if (other.in < span.bars_in)
            from = std::max(from, std::min(other.out, span.bars_in));
    return from;
}

/// Whether it is a single cue of the author's.
bool Timeline::Impl::is_cue(LayerItem const& item) const
{
    if (auto const* const chord = std::get_if<ChordItem>(&item))
        return !spans.chords[chord->chord].played;
    auto const* const strum = std::get_if<StrumItem>(&item);
    return strum && !spans.strums[strum->strum].played;
}

/// In a rest single cues go before what is played: beside them it gives way.
template <class Cue>
std::vector<LayerSpan> Timeline::Impl::around_cues(std::vector<LayerSpan> track, std::vector<Cue> const& cues) const
{
    std::vector<Interval> const taken = taken_in_rests(spans.sections, cues);
    if (taken.empty())
        return track;
    std::vector<LayerSpan> parts;
    for (LayerSpan const& span : track) {
        if (is_cue(span.item)) {
            parts.push_back(span);
            continue;
        }
        for (Interval const left : without({span.in, span.out}, taken))
            parts.push_back({left.from, left.to, span.item});
    }
    return parts;
}

/// In the last pulse of a chord the next one is seen coming.
std::vector<LayerSpan> Timeline::Impl::chord_track() const
{
    std::vector<LayerSpan> track;
    std::vector<std::optional<Time>> last_pulse(spans.chords.size());
    for (PlayedChord const& played : spans.played) {
        TempoMap const& map = *spans.sections[played.section].map;
        if (std::size_t const next = next_of[played.chord]; next != played.chord && spans.chords[next].shape)
            last_pulse[played.chord] = shown_at(map, map.place_before(played.to, pulse_ticks(map.meter())));
    }
    for (std::size_t i = 0; i < spans.chords.size(); ++i) {
        ChordSpan const& span = spans.chords[i];
        Time const turn = std::clamp(last_pulse[i].value_or(span.out), span.in, span.out);
        if (turn > span.in)
            track.push_back({span.in, turn, ChordItem{i}});
        if (span.out > turn)
            track.push_back({turn, span.out, ChordItem{i, true}});
    }
    for (std::size_t i = 0; i < spans.sections.size(); ++i)
        if (pulses_counted_in(spans.sections[i]) > 0)
            track.push_back({ready_from(spans.sections[i], track), spans.sections[i].bars_in,
                             ChordItem{spans.played[first_played[i]].chord}});
    return around_cues(std::move(track), spans.chords);
}

/// The next chord, a span for each pulse that is left. Over a count-in it is there with all of them.
std::vector<LayerSpan> Timeline::Impl::next_chord_track() const
{
    std::vector<LayerSpan> track;
    std::map<std::size_t, NextChordItem> first_of; // by section, where a count-in goes before it
    for (PlayedChord const& played : spans.played) {
        std::size_t const next = next_of[played.chord];
        if (next == played.chord)
            continue;
        ChordSpan const& here = spans.chords[played.chord];
        SectionSpan const& section = spans.sections[played.section];
        std::int64_t const pulse = pulse_ticks(section.map->meter());
        auto const pulses = static_cast<int>((section.map->played_ticks(played.from, played.to) + pulse - 1) / pulse);
        overlay::GroupStarts const groups = groups_before(played.to, *section.map);
        Time out = here.out;
        for (int left = 1; out > here.in; ++left) {
            Time const in =
                std::max(here.in, shown_at(*section.map, section.map->place_before(played.to, left * pulse)));
            track.push_back({in, out, NextChordItem{next, played.chord, left, pulses, groups}});
            out = in;
        }
        if (pulses_counted_in(section) > 0 && &played == &spans.played[first_played[played.section]])
            first_of[played.section] = std::get<NextChordItem>(track.back().item);
    }
    for (auto const& [section, item] : first_of)
        track.push_back({ready_from(spans.sections[section], track), spans.sections[section].bars_in, item});
    return around_cues(std::move(track), spans.chords);
}

int Timeline::Impl::pulses_counted_in(SectionSpan const& span) const
{
    Section const& section = section_of(span);
    bool const begins = !section.piece || section.piece->from_bar == BarPosition{};
    return span.map && begins && span.bars_in < span.bars_out ? section.count_in * section.meter->pulses() : 0;
}

Time Timeline::Impl::count_in_start(SectionSpan const& span) const
{
    int const pulses = pulses_counted_in(span);
    return pulses == 0 ? span.in : span.map->time_at(-pulses * pulse_ticks(span.map->meter()));
}

std::vector<LayerSpan> Timeline::Impl::count_in_track() const
{
    std::vector<LayerSpan> track;
    for (std::size_t i = 0; i < spans.sections.size(); ++i) {
        SectionSpan const& span = spans.sections[i];
        int const pulses = pulses_counted_in(span);
        for (int pulse = 0; pulse < pulses; ++pulse) {
            std::int64_t const length = pulse_ticks(span.map->meter());
            track.push_back({span.map->time_at((pulse - pulses) * length),
                             span.map->end_at((pulse + 1 - pulses) * length),
                             CountInItem{i, pulse, span.map->meter()}});
        }
    }
    return track;
}

std::vector<LayerSpan> Timeline::Impl::strum_track() const
{
    std::vector<LayerSpan> track;
    for (std::size_t i = 0; i < spans.strums.size(); ++i) {
        if (spans.strums[i].played)
            add_strum_steps(track, i);
        else
            track.push_back(
                {spans.strums[i].in, spans.strums[i].out, StrumItem{i, std::nullopt, 0, std::nullopt, false}});
    }
    return around_cues(std::move(track), spans.strums);
}

/// All of the chart, whatever is left of it.
std::vector<StrumStepSpan> Timeline::Impl::strum_steps(StrumSpan const& span) const
{
    std::vector<StrumStepSpan> steps;
    std::size_t const section_index = span_of[static_cast<std::size_t>(span.section)];
    SectionSpan const& section = spans.sections[section_index];
    overlay::StrumPattern const& pattern = lesson.find_strum(span.name)->pattern;
    bool const bass = plucks_bass(pattern);
    std::size_t played = first_played[section_index];
    if (played == spans.played.size())
        return steps;
    for (PlayedStep const& step : played_steps(pattern, section_of(section).bars->value.bars(), *section.map)) {
        while (spans.played[played].to <= step.place && played + 1 < spans.played.size() &&
               spans.played[played + 1].section == section_index)
            ++played;
        ChordSpan const& chord = spans.chords[spans.played[played].chord];
        auto const motion = pattern.steps[static_cast<std::size_t>(step.step)].motion;
        bool const silent = chord.name.empty();
        steps.push_back({step.in, step.out, step.step, !silent && motion != overlay::StrumStep::Motion::rest, silent,
                         bass && chord.shape ? bass_string(*chord.shape, *lesson.tuning) : 0});
    }
    return steps;
}

/// The step that is due and the stroke after it. Where no chord sounds nothing is due; over a count-in and in a pause
/// the first stroke is the one that comes.
void Timeline::Impl::add_strum_steps(std::vector<LayerSpan>& track, std::size_t index) const
{
    StrumSpan const& span = spans.strums[index];
    auto const steps = strum_steps(span);
    std::optional<int> next;
    std::vector<LayerSpan> backwards;
    StrumStepSpan const* after = nullptr;
    Time seen_from = span.out;
    auto const wait_from = [&](Time from) {
        if (from < seen_from && after)
            backwards.push_back(
                {from, seen_from, StrumItem{index, std::nullopt, after->bass_string, next, after->silent}});
    };
    for (std::size_t i = steps.size(); i-- > 0 && steps[i].out > span.in;) {
        StrumStepSpan const& step = steps[i];
        Time const in = std::max(step.in, span.in);
        Time const out = std::min(step.out, span.out);
        if (in < out) {
            wait_from(out);
            StrumItem const item{index, step.silent ? std::nullopt : std::optional{step.step}, step.bass_string,
                                 step.silent && next && !after->sounds ? std::nullopt : next, step.silent};
            backwards.push_back({in, out, item});
            seen_from = in;
        }
        if (step.sounds || step.silent)
            next = step.sounds ? std::optional{step.step} : std::nullopt;
        after = &step;
    }
    wait_from(span.in);
    SectionSpan const& section = span_of_section(span.section);
    if (pulses_counted_in(section) > 0 && after)
        track.push_back({ready_from(section, track), section.bars_in,
                         StrumItem{index, std::nullopt, after->bass_string, next, after->silent}});
    track.insert(track.end(), backwards.rbegin(), backwards.rend());
}

/// The bars that are played from one on, as many as a row shows.
std::vector<int> Timeline::Impl::bars_from(SectionSpan const& span, int first) const
{
    std::vector<int> bars{first};
    std::int64_t const length = bar_ticks(span.map->meter());
    int const count = section_of(span).bars->value.bars();
    for (int bar = first + 1; bar <= count && std::ssize(bars) < overlay::kBarsAhead; ++bar) {
        std::int64_t const begin = (bar - 1) * length;
        if (span.map->played_ticks(begin, begin + length) == 0)
            bar = static_cast<int>(span.map->offset_at(span.map->time_at(begin)) / length) + 1;
        if (bar <= count)
            bars.push_back(bar);
    }
    return bars;
}

/// A span for each pulse, and one before the first beat where it is counted in. In a rest that comes before a beat, it
/// is the beats that were played that stand.
std::vector<LayerSpan> Timeline::Impl::ribbon_track() const
{
    std::vector<LayerSpan> track;
    for (std::size_t i = 0; i < spans.sections.size(); ++i) {
        SectionSpan const& span = spans.sections[i];
        if (span.bars_in == span.bars_out)
            continue;
        overlay::Meter const meter = span.map->meter();
        int const bars = section_of(span).bars->value.bars();
        if (pulses_counted_in(span) > 0)
            track.push_back({ready_from(span, track), span.bars_in, BarItem{i, 1, std::nullopt}});
        for (int pulse = 0; pulse < bars * meter.pulses(); ++pulse) {
            std::int64_t const place = pulse * pulse_ticks(meter);
            Time const in = std::max(span.bars_in, shown_at(*span.map, place));
            Time const out = std::min(span.bars_out, shown_at(*span.map, place + pulse_ticks(meter)));
            Time const begin = std::clamp(span.map->time_at(place), in, std::max(in, out));
            int const in_bar = pulse % meter.pulses();
            int const bar = pulse / meter.pulses() + 1;
            if (begin > in)
                track.push_back({in, begin, BarItem{i, bar, in_bar > 0 ? std::optional(in_bar - 1) : std::nullopt}});
            if (out > begin)
                track.push_back({begin, out, BarItem{i, bar, in_bar}});
        }
    }
    return track;
}

/// A part is announced as it begins, or with its count-in. A later piece of a part is not announced again.
std::vector<LayerSpan> Timeline::Impl::banner_track() const
{
    std::vector<LayerSpan> track;
    for (std::size_t i = 0; i < spans.sections.size(); ++i) {
        SectionSpan const& span = spans.sections[i];
        Section const& section = section_of(span);
        if (span.name.empty() || (section.piece && section.piece->number > 1))
            continue;
        Time const in = count_in_start(span);
        track.push_back({in, std::min(in + kBannerLength, span.out), BannerItem{i}});
    }
    return track;
}

std::vector<LayerSpan> Timeline::Impl::text_track() const
{
    std::vector<LayerSpan> track;
    for (std::size_t i = 0; i < spans.texts.size(); ++i)
        track.push_back({spans.texts[i].in, spans.texts[i].out, TextItem{i}});
    return track;
}

/// As a part with chords begins, or with its count-in: the diagrams show the capo all the time. A later piece of a part
/// says it no more.
std::vector<LayerSpan> Timeline::Impl::capo_track() const
{
    std::vector<LayerSpan> track;
    if (*lesson.capo == 0)
        return track;
    std::map<int, LayerSpan> by_section;
    for (ChordSpan const& span : spans.chords) {
        auto const section = span_of[static_cast<std::size_t>(span.section)];
        auto const [found, is_new] =
            by_section.try_emplace(span.section, LayerSpan{span.in, span.out, CapoItem{section}});
        found->second.out = std::max(found->second.out, span.out);
    }
    for (auto& [index, shown] : by_section) {
        SectionSpan const& span = span_of_section(index);
        if (Section const& section = section_of(span); section.piece && section.piece->number > 1)
            continue;
        if (pulses_counted_in(span) > 0)
            shown.in = std::min(shown.in, count_in_start(span));
        shown.out = std::min(shown.out, shown.in + kBannerLength);
        track.push_back(shown);
    }
    return track;
}

overlay::LayerContent Timeline::Impl::content(CapoItem const&) const { return capo_line; }

overlay::LayerContent Timeline::Impl::content(BarItem const& item) const
{
    SectionSpan const& span = spans.sections[item.section];
    Chart const& chart = section_of(span).bars->value;
    overlay::BarRibbon ribbon;
    ribbon.pulse = item.pulse;
    ribbon.pulses = chart.meter.pulses();
    ribbon.bars_in_section = chart.bars();
    ribbon.crowding = crowding[item.section];
    ribbon.part = span.name;
    ribbon.groups = chart.meter.pulse_groups();
    for (int const bar : bars_from(span, item.bar))
        ribbon.bars.push_back({bar, chart.meter.beats, ribbon_chords(chart.bar(bar), chart.names)});
    return ribbon;
}

overlay::LayerContent Timeline::Impl::content(StrumItem const& item) const
{
    StrumSpan const& span = spans.strums[item.strum];
    return overlay::StrumLane{span.name,
                              lesson.find_strum(span.name)->pattern,
                              *lesson.sections[static_cast<std::size_t>(span.section)].meter,
                              item.lit_step,
                              item.bass_string,
                              item.next_stroke,
                              item.silent};
}

overlay::LayerContent Timeline::Impl::content(ChordItem const& item) const
{
    ChordSpan const& span = spans.chords[item.chord];
    ChordSpan const& next = spans.chords[next_of[item.chord]];
    bool const talk = !span_of_section(span.section).map;
    return overlay::ChordCard{lesson.label(span.name),
                              span.shape,
                              &next == &span ? std::vector<int>{} : staying_fingers(span.shape, next.shape),
                              anchored_strings(span),
                              item.last_pulse ? next.shape : std::nullopt,
                              talk};
}

overlay::LayerContent Timeline::Impl::content(NextChordItem const& item) const
{
    ChordSpan const& span = spans.chords[item.chord];
    return overlay::NextChordCard{lesson.label(span.name),
                                  span.shape,
                                  staying_fingers(spans.chords[item.before].shape, span.shape),
                                  anchored_strings(span),
                                  item.pulses_left,
                                  item.pulses,
                                  item.groups};
}

overlay::LayerContent Timeline::Impl::content(TextItem const& item) const
{
    return overlay::TextCard{spans.texts[item.text].text};
}

overlay::LayerContent Timeline::Impl::content(BannerItem const& item) const
{
    return overlay::SectionBanner{spans.sections[item.section].name, subtitle(item.section)};
}

overlay::LayerContent Timeline::Impl::content(CountInItem const& item) const
{
    int const pulses = item.meter.pulses();
    return overlay::CountIn{item.pulse % pulses + 1, pulses, item.meter.pulse_groups()};
}

SectionSpan const& Timeline::Impl::span_of_section(int section) const
{
    return spans.sections[span_of[static_cast<std::size_t>(section)]];
}

SectionSpan const& Timeline::Impl::span_around(StrumItem const& item) const
{
    return span_of_section(spans.strums[item.strum].section);
}

SectionSpan const& Timeline::Impl::span_around(ChordItem const& item) const
{
    return span_of_section(spans.chords[item.chord].section);
}

SectionSpan const& Timeline::Impl::span_around(NextChordItem const& item) const
{
    return span_around(ChordItem{item.before});
}

SectionSpan const& Timeline::Impl::span_around(TextItem const& item) const
{
    return span_of_section(spans.texts[item.text].section);
}

/// A part may have been cut free: what it shows is not seen before it begins, nor before the last seam in it.
Time Timeline::Impl::room_from(LayerSpan const& span) const
{
    SectionSpan const& around =
        std::visit([this](auto const& item) -> SectionSpan const& { return span_around(item); }, span.item);
    std::vector<Time> const& seams = section_of(around).seams;
    auto const after = std::ranges::upper_bound(seams, span.in);
    return after == seams.begin() ? around.shown_from : std::max(around.shown_from, *std::prev(after));
}

/// None where it is the lesson's, so that the scenes of such sections are equal.
std::optional<overlay::Corner> Timeline::Impl::corner(LayerItem const& item) const
{
    auto const own = std::visit([this](auto const& one) { return span_around(one).corner; }, item);
    return own == corner_of(*lesson.placement) ? std::nullopt : std::optional{own};
}

namespace {

overlay::CapoLine make_capo_line(Lesson const& lesson)
{
    overlay::CapoLine line{*lesson.capo, "", ""};
    if (auto const sounding = lesson.sounding_key()) {
        line.sounding_key = sounding->pretty(*lesson.names);
        line.shapes_key = overlay::shapes_key(*sounding, *lesson.capo).pretty(*lesson.names);
    }
    return line;
}

} // namespace

Timeline Timeline::resolve(Lesson const& lesson, MediaFacts const& facts, ResolveOptions const& options)
{
    auto impl = std::make_unique<Impl>();
    impl->lesson = lesson;
    impl->facts = facts;
    impl->spans = resolve_spans(lesson, facts, options.level);
    impl->capo_line = make_capo_line(lesson);
    impl->index_spans();
    impl->find_next_chords();
    auto const track = [&](std::vector<LayerSpan> spans) {
        return LayerTrack(std::move(spans), [&](LayerSpan const& span) { return impl->room_from(span); });
    };
    impl->tracks = {track(impl->capo_track()),   track(impl->ribbon_track()),     track(impl->strum_track()),
                    track(impl->chord_track()),  track(impl->next_chord_track()), track(impl->text_track()),
                    track(impl->banner_track()), track(impl->count_in_track())};
    for (LayerTrack const& each : impl->tracks)
        each.add_change_instants(impl->instants);
    std::ranges::sort(impl->instants);
    // Not std::ranges::unique: clang 14 cannot compile libstdc++ 12's subrange.
    impl->instants.erase(std::unique(impl->instants.begin(), impl->instants.end()), impl->instants.end());
    return Timeline(std::move(impl));
}

Timeline::Timeline(std::unique_ptr<Impl> impl) : m_impl(std::move(impl)) {}
Timeline::Timeline(Timeline&&) noexcept = default;
Timeline& Timeline::operator=(Timeline&&) noexcept = default;
Timeline::~Timeline() = default;

std::vector<SectionSpan> const& Timeline::sections() const { return m_impl->spans.sections; }
std::vector<ChordSpan> const& Timeline::chords() const { return m_impl->spans.chords; }
std::vector<StrumSpan> const& Timeline::strums() const { return m_impl->spans.strums; }
std::vector<TextSpan> const& Timeline::texts() const { return m_impl->spans.texts; }
MediaFacts const& Timeline::facts() const { return m_impl->facts; }
std::vector<Time> const& Timeline::change_instants() const { return m_impl->instants; }

overlay::Scene Timeline::scene_at(Time time) const
{
    overlay::Scene scene;
    for (LayerTrack const& track : m_impl->tracks)
        if (LayerSpan const* const span = track.at(time))
            scene.layers.push_back({std::visit([this](auto const& item) { return m_impl->content(item); }, span->item),
                                    track.level_at(time), m_impl->corner(span->item)});
    return scene;
}

} // namespace tabard::pipeline
