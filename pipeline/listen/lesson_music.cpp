#include "pipeline/listen/lesson_music.h"

#include "overlay/music/names/chord_name.h"
#include "pipeline/cues/meter_ticks.h"
#include "pipeline/listen/chord_template.h"
#include "pipeline/timeline/tempo_map.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include <fmt/format.h>

namespace tabard::pipeline {

namespace {

constexpr double kGuessedBeat = 0.6; ///< seconds: in the middle of what songs have, where nobody said

/// How far the strings are from standard tuning where all are equally far; else names mean what they say.
int lowered_by(overlay::Tuning const& tuning)
{
    overlay::Tuning const standard;
    if (tuning.strings() != standard.strings())
        return 0;
    int const off = tuning.open_strings[0] - standard.open_strings[0];
    for (std::size_t n = 0; n < tuning.open_strings.size(); ++n) {
        if (tuning.open_strings[n] - standard.open_strings[n] != off)
            return 0;
    }
    return off;
}

HeardChord chord_of_shape(Lesson const& lesson, overlay::Shape const& shape)
{
    HeardChord chord;
    int lowest = 1000;
    auto const& open = lesson.tuning->open_strings;
    for (std::size_t n = 0; n < std::min(shape.frets.size(), open.size()); ++n) {
        if (shape.frets[n] == overlay::kMuted)
            continue;
        int const midi = open[n] + shape.frets[n];
        if (std::ranges::find(chord.tones, midi % 12) == chord.tones.end())
            chord.tones.push_back(midi % 12);
        lowest = std::min(lowest, midi);
    }
    chord.bass = chord.tones.empty() ? -1 : lowest % 12;
    return transposed(chord, *lesson.capo);
}

/// Beats of the meter that make one beat of a part: in compound meters the group of three, where it begins and chords
/// change on groups.
int beats_grouped(Chart const& chart, BarPosition first)
{
    int const group = beats_of_pulse(chart.meter);
    if (first.beat % group != 1 % group)
        return 1;
    for (WrittenBar const& bar : chart.written) {
        for (ChartChord const& chord : bar.chords) {
            if (chord.beats % group != 0)
                return 1;
        }
    }
    return group;
}

/// What is left of a bar without its first `skip` beats.
void add_bar(Lesson const& lesson, WrittenBar const& bar, int group, int skip, ExpectedPart& part, PartOrigin& origin)
{
    for (ChartChord const& chord : bar.chords) {
        int const skipped = std::min(skip, chord.beats);
        skip -= skipped;
        if (skipped == chord.beats)
            continue;
        part.spans.push_back({heard_chord(lesson, chord.name), part.beats(), (chord.beats - skipped) / group});
        origin.names.push_back(chord.name);
        origin.places.push_back(chord.at);
    }
}

void set_tempo(Section const& section, int group, ExpectedPart& part)
{
    part.tempo_known = section.tempo.has_value();
    double const pulse = section.tempo ? to_seconds((*section.tempo)->pulse()) : kGuessedBeat;
    part.beat_seconds = pulse * group / beats_of_pulse(*section.meter);
    if (section.pins.size() < 2) {
        // Bars that fill their part: its times may be rough.
        if (auto const map = section.tempo ? std::nullopt : tempo_map(section))
            part.beat_seconds = to_seconds(map->tempo_at(0).pulse()) * group / beats_of_pulse(*section.meter);
        return;
    }
    double seconds = 0, ticks = 0; // played: without pauses and what is skipped
    for (std::size_t n = 0; n + 1 < section.pins.size(); ++n) {
        Pin const& pin = section.pins[n];
        Pin const& next = section.pins[n + 1];
        seconds += to_seconds(next.time - pin.next_time());
        ticks += static_cast<double>(next.position.offset(*section.meter) - pin.next_position().offset(*section.meter));
    }
    part.beat_seconds = seconds * static_cast<double>(kTicksPerBeat * group) / ticks;
    part.tempo_known = true;
}

/// A stroke over several strings is louder than a plucked one, an accent stands out and a muted stroke does not ring.
ExpectedStroke stroke_of(overlay::StrumStep const& step)
{
    using Motion = overlay::StrumStep::Motion;
    ExpectedStroke stroke;
    stroke.weight = step.motion == Motion::down ? 1.0 : step.motion == Motion::up ? 0.8 : 0.7;
    stroke.weight *= (step.accent ? 1.4 : 1.0) * (step.muted ? 0.8 : 1.0);
    stroke.ringing = !step.muted;
    stroke.full = step.motion != Motion::pluck || step.plucks.size() > 2;
    return stroke;
}

/// The part's strum pattern over one bar.
void set_strokes(Lesson const& lesson, Section const& section, int group, ExpectedPart& part)
{
    auto const* strum = section.strum ? lesson.find_strum(**section.strum) : nullptr;
    if (!strum || !overlay::fits_bar(strum->pattern, *section.meter))
        return;
    part.strokes.beats = section.meter->beats / group;
    for (std::size_t n = 0; n < strum->pattern.steps.size(); ++n) {
        overlay::StrumStep const& step = strum->pattern.steps[n];
        if (step.motion == overlay::StrumStep::Motion::rest)
            continue;
        part.strokes.strokes.push_back(stroke_of(step));
        part.strokes.strokes.back().beat = static_cast<double>(step_offset(n, strum->pattern, *section.meter)) /
                                           static_cast<double>(kTicksPerBeat * group);
    }
}

/// A pin at which the playing stops or skips bars holds no beat: it is to be found anew.
void add_pins(Section const& section, PartOrigin const& origin, ExpectedPart& part)
{
    for (Pin const& pin : section.pins) {
        auto const ticks = pin.position.offset(*section.meter) - origin.first_tick;
        if (!pin.goes_on && ticks >= 0 && ticks % origin.ticks_per_beat == 0 &&
            ticks / origin.ticks_per_beat <= part.beats())
            part.pins.push_back({static_cast<int>(ticks / origin.ticks_per_beat), to_seconds(pin.time)});
    }
}

/// A piece that a cut has left carries the whole chart: what comes `seconds` after its start is not played.
void drop_after(double seconds, ExpectedPart& part, PartOrigin& origin)
{
    std::erase_if(part.spans,
                  [&](ExpectedSpan const& span) { return (span.first_beat + 1) * part.beat_seconds > seconds; });
    if (!part.spans.empty()) {
        int const beats = static_cast<int>(std::ceil(seconds / part.beat_seconds - 0.1));
        part.spans.back().beats = std::clamp(beats - part.spans.back().first_beat, 1, part.spans.back().beats);
    }
    origin.names.resize(part.spans.size());
    origin.places.resize(part.spans.size());
}

} // namespace

HeardChord heard_chord(Lesson const& lesson, std::string const& name)
{
    if (name.empty())
        return {};
    auto const parsed = lesson.chord(name);
    if (!parsed) {
        auto const* shape = lesson.shape_for(name, Level::full);
        return shape ? chord_of_shape(lesson, *shape) : HeardChord{};
    }
    if (parsed->no_chord)
        return {};
    HeardChord chord;
    for (overlay::NoteName const& note : parsed->notes())
        chord.tones.push_back(note.pitch_class());
    chord.bass = parsed->lowest().pitch_class();
    return transposed(chord, *lesson.capo + lowered_by(*lesson.tuning));
}

LessonMusic lesson_music(Lesson const& lesson, Places places, bool keep_pins)
{
    struct Entry {
        ExpectedPart part;
        PartOrigin origin;
        double order; ///< film time by which the parts are played
    };
    LessonMusic music;
    std::vector<Entry> entries;
    double last = 0;
    for (std::size_t n = 0; n < lesson.sections.size(); ++n) {
        Section const& section = lesson.sections[n];
        if (!section.bars || (*section.bars)->bars() == 0)
            continue;
        Chart const& chart = **section.bars;
        auto const first = section.piece ? section.piece->from_bar : BarPosition{};
        if (first.ticks != 0) {
            music.remarks.push_back(fmt::format("{}: begins inside a beat, so it is not listened for", *section.name));
            continue;
        }
        int const group = beats_grouped(chart, first);
        Entry entry;
        entry.origin = {static_cast<int>(n), first.offset(chart.meter), kTicksPerBeat * group, {}, {}};
        for (int bar = first.bar; bar <= chart.bars(); ++bar)
            add_bar(lesson, chart.bar(bar), group, bar == first.bar ? first.beat - 1 : 0, entry.part, entry.origin);
        entry.part.beats_per_bar = chart.meter.beats / group;
        entry.part.first_in_bar = (first.beat - 1) / group;
        set_tempo(section, group, entry.part);
        set_strokes(lesson, section, group, entry.part);
        auto const map = tempo_map(section);
        if (map)
            last = to_seconds(map->time_at(first));
        else if (section.from)
            last = to_seconds(**section.from);
        if ((map || section.from) && places == Places::as_written)
            entry.part.about = last;
        if (section.piece && section.to && map)
            drop_after(to_seconds(**section.to - map->time_at(first)), entry.part, entry.origin);
        if (entry.part.spans.empty())
            continue;
        if (keep_pins)
            add_pins(section, entry.origin, entry.part);
        entry.order = last;
        entries.push_back(std::move(entry));
    }
    std::ranges::stable_sort(entries, {}, &Entry::order);
    for (Entry& entry : entries) {
        music.parts.push_back(std::move(entry.part));
        music.origins.push_back(std::move(entry.origin));
    }
    return music;
}

} // namespace tabard::pipeline
