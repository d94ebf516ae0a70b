#include "pipeline/listen/listen.h"

#include "pipeline/cues/meter_ticks.h"
#include "pipeline/cues/tempo_limits.h"
#include "pipeline/listen/playable_pins.h"
#include "pipeline/listen/second_reading.h"
#include "pipeline/listen/sparse_pins.h"
#include "pipeline/listen/triad_name.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace tabard::pipeline {

namespace {

std::vector<HeardChordCue> changes_of(Lesson const& lesson, ExpectedPart const& part, PartOrigin const& origin,
                                      AlignedPart const& found)
{
    auto const meter = *lesson.sections[static_cast<std::size_t>(origin.section)].meter;
    std::vector<HeardChordCue> changes;
    for (std::size_t n = 0; n < part.spans.size(); ++n) {
        HeardSpan const& span = found.spans[n];
        bool const differs = span.chord.fit == Fit::differs;
        if (!part.changes(n) && !differs)
            continue;
        HeardChordCue cue;
        cue.position = origin.position(part.spans[n].first_beat, meter);
        cue.written = origin.names[n];
        cue.at = origin.places[n];
        cue.time = from_seconds(span.seconds);
        cue.early = span.early;
        if (span.second_best)
            cue.other_time = from_seconds(*span.second_best);
        if (differs)
            cue.sounds_like = triad_name(span.chord.sounds_like, *lesson.capo);
        cue.cannot_tell = span.chord.fit == Fit::cannot_tell && !part.spans[n].chord.silent();
        changes.push_back(std::move(cue));
    }
    return changes;
}

/// To the millisecond.
Time pin_time(double seconds) { return from_ticks(std::llround(std::max(0.0, seconds) * 1000), 1, 1000); }

Pin pin_of(BeatPin const& pin, PartOrigin const& origin, overlay::Meter meter)
{
    Pin result{origin.position(pin.beat, meter), pin_time(pin.seconds), {}};
    if (pin.goes_on)
        result.goes_on = Pin::GoesOn{origin.position(pin.goes_on->beat, meter), pin_time(pin.goes_on->seconds)};
    return result;
}

std::vector<HeardDeviation> deviations_of(ExpectedPart const& part, PartOrigin const& origin, AlignedPart const& found,
                                          overlay::Meter meter)
{
    double const bar = part.beats_per_bar * mean_beat(found);
    std::vector<HeardDeviation> deviations;
    for (Deviation const& deviation : found.deviations)
        deviations.push_back({deviation.kind,
                              origin.position(deviation.beat, meter),
                              origin.position(deviation.next_beat, meter),
                              origin.position(deviation.again_from, meter),
                              static_cast<int>(std::lround((deviation.to - deviation.from) / bar - 0.3)),
                              {from_seconds(deviation.from), from_seconds(deviation.to)},
                              deviation.sure()});
    return deviations;
}

/// What was found of a part, with its pins.
void add_found(Section const& section, ExpectedPart const& part, PartOrigin const& origin, AlignedPart const& found,
               HeardSection& result)
{
    result.played = {from_seconds(found.beats.front()), from_seconds(found.beats.back())};
    double const beat = mean_beat(found);
    double const pulses_a_beat =
        static_cast<double>(origin.ticks_per_beat) / static_cast<double>(pulse_ticks(*section.meter));
    result.tempo = {std::llround(60'000 * pulses_a_beat / beat)};
    // Beats of the part to pulses of the meter.
    auto const limits =
        TempoLimits{60 * pulses_a_beat * 1000 / kFastestTempo, 60 * pulses_a_beat * 1000 / kSlowestTempo};
    auto const pins = playable_pins(sparse_pins(part, found), part.pins, limits);
    for (BeatPin const& pin : pins)
        result.pins.push_back(pin_of(pin, origin, *section.meter));
    result.deviations = deviations_of(part, origin, found, *section.meter);
    for (OtherPlace const& other : found.also_at)
        result.also.push_back({from_seconds(other.played.from), from_seconds(other.played.to)});
    if (!are_playable(pins, limits)) {
        result.verdict = Verdict::not_found;
        result.reason = "what fits best would be at a tempo that nobody plays";
    }
}

HeardSection section_of(Lesson const& lesson, ExpectedPart const& part, PartOrigin const& origin,
                        AlignedPart const& found, SecondReading const& second)
{
    Section const& section = lesson.sections[static_cast<std::size_t>(origin.section)];
    HeardSection result;
    result.section = origin.section;
    result.name = *section.name;
    result.at = section.at;
    result.has_time = section.from || !section.pins.empty();
    Judgement judgement = judge(part, found, second, origin.position(0, *section.meter).bar);
    result.verdict = judgement.verdict;
    result.confidence = judgement.confidence;
    result.fits = found.confidence;
    result.reason = std::move(judgement.reason);
    result.help = std::move(judgement.help);
    if (result.verdict != Verdict::not_found)
        add_found(section, part, origin, found, result);
    if (result.verdict != Verdict::not_found)
        result.changes = changes_of(lesson, part, origin, found);
    return result;
}

/// Rough times are some seconds off, not so much that a part lies behind the next one's time.
void doubt_what_passes_its_neighbours(Lesson const& lesson, std::vector<HeardSection>& sections)
{
    constexpr Time kRough = from_ticks(10, 1, 1);
    for (HeardSection& heard : sections) {
        auto const own = static_cast<std::size_t>(heard.section);
        auto const passes = [&](std::size_t other) {
            auto const& from = lesson.sections[other].from;
            return from && (other < own ? heard.played.to < **from - kRough : heard.played.from > **from + kRough);
        };
        if (heard.verdict != Verdict::sure || !lesson.sections[own].from)
            continue;
        for (std::size_t other = 0; other < lesson.sections.size(); ++other)
            if (other != own && passes(other)) {
                heard.verdict = Verdict::doubtful;
                heard.reason =
                    fmt::format("that is {} '{}', which the file puts at {}", other < own ? "before" : "after",
                                *lesson.sections[other].name, print_time(**lesson.sections[other].from, 1));
                heard.help = "correct the rough times of the two parts";
                break;
            }
    }
}

} // namespace

LessonHeard listen(Lesson const& lesson, Hearing const& heard, Places places)
{
    auto const music = lesson_music(lesson, places);
    auto const alignment = align(heard, music.parts);
    LessonHeard result;
    result.tuning_cents = 100 * heard.tuning;
    result.frets_off = alignment.transposition.semitones;
    result.remarks = music.remarks;
    auto const readings = read_again(heard, music.parts, alignment.parts);
    for (std::size_t n = 0; n < music.parts.size(); ++n)
        result.sections.push_back(
            section_of(lesson, music.parts[n], music.origins[n], alignment.parts[n], readings[n]));
    if (places == Places::as_written)
        doubt_what_passes_its_neighbours(lesson, result.sections);
    result.unexpected = unexpected_playing(lesson, alignment.stray, heard.seconds());
    return result;
}

} // namespace tabard::pipeline
