#include "pipeline/listen/listen.h"

#include "overlay/base/small_letters.h"
#include "overlay/music/note.h"
#include "pipeline/cues/meter_ticks.h"
#include "pipeline/cues/next_command.h"
#include "pipeline/cues/tempo_limits.h"
#include "pipeline/listen/align.h"
#include "pipeline/listen/doubt.h"
#include "pipeline/listen/listen_codes.h"
#include "pipeline/listen/playable_pins.h"
#include "pipeline/listen/sparse_pins.h"
#include "pipeline/time/timecode.h"
#include "pipeline/timeline/tempo_map.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace tabard::pipeline {

namespace {

/// How far the start of one stroke is found from its first string: on built strums of 10 to 40 ms from 8 ms before to
/// 20 ms after in nine of ten, 1 ms after in the middle (listen_test.cpp).
constexpr Time kOnsetError = from_ticks(20, 1, 1000);

/// The name of a triad as the hand plays it under the capo.
std::string triad_name(HeardChord const& triad, Lesson const& lesson)
{
    int const root = overlay::mod(triad.tones.front() - *lesson.capo, 12);
    bool const minor = overlay::mod(triad.tones[1] - triad.tones[0], 12) == 3;
    return overlay::note_of(root, overlay::Accidentals::sharps).text() + (minor ? "m" : "");
}

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
            cue.sounds_like = triad_name(span.chord.sounds_like, lesson);
        cue.cannot_tell = span.chord.fit == Fit::cannot_tell && !part.spans[n].chord.silent();
        changes.push_back(std::move(cue));
    }
    return changes;
}

/// To the millisecond.
Time pin_time(BeatPin const& pin) { return from_ticks(std::llround(std::max(0.0, pin.seconds) * 1000), 1, 1000); }

HeardSection section_of(Lesson const& lesson, ExpectedPart const& part, PartOrigin const& origin,
                        AlignedPart const& found)
{
    Section const& section = lesson.sections[static_cast<std::size_t>(origin.section)];
    HeardSection result;
    result.section = origin.section;
    result.name = *section.name;
    result.at = section.at;
    result.has_time = section.from || !section.pins.empty();
    result.found = found.found;
    result.confidence = found.confidence;
    if (!found.found)
        return result;
    result.played = {from_seconds(found.beats.front()), from_seconds(found.beats.back())};
    double const beat = (found.beats.back() - found.beats.front()) / part.beats();
    double const pulses_a_beat =
        static_cast<double>(origin.ticks_per_beat) / static_cast<double>(pulse_ticks(*section.meter));
    result.tempo = {std::llround(60'000 * pulses_a_beat / beat)};
    // Beats of the part to pulses of the meter.
    auto const limits =
        TempoLimits{60 * pulses_a_beat * 1000 / kFastestTempo, 60 * pulses_a_beat * 1000 / kSlowestTempo};
    auto const pins = playable_pins(sparse_pins(part, found), part.pins, limits);
    for (BeatPin const& pin : pins)
        result.pins.push_back({origin.position(pin.beat, *section.meter), pin_time(pin), {}});
    result.playable = are_playable(pins, limits);
    result.changes = changes_of(lesson, part, origin, found);
    result.doubt = doubt_of(part, found);
    return result;
}

constexpr Time kShortestPlaying = from_ticks(4, 1, 1);

bool is_talk(std::string_view name)
{
    constexpr std::string_view kTalk = "talk";
    return std::ranges::equal(name.substr(0, kTalk.size()), kTalk, {}, small_letter);
}

bool shows_chords(Section const& section)
{
    return std::ranges::any_of(section.show, [](ShowCue const& cue) { return cue.text.empty(); });
}

/// A part without a chart, and how long it lasts.
struct ChartlessPart {
    int section = 0;
    Interval span;
};

/// In order of time. A part lasts until it says, else until the next begins.
std::vector<ChartlessPart> chartless_parts(Lesson const& lesson, Time film_end)
{
    std::vector<Time> begins;
    for (Section const& section : lesson.sections)
        if (section.from)
            begins.push_back(**section.from);
        else if (!section.pins.empty())
            begins.push_back(section.pins.front().time);
    std::vector<ChartlessPart> parts;
    for (std::size_t n = 0; n < lesson.sections.size(); ++n) {
        Section const& section = lesson.sections[n];
        if (section.bars || !section.from)
            continue;
        Time end = film_end;
        for (Time const begin : begins)
            end = begin > **section.from ? std::min(end, begin) : end;
        parts.push_back({static_cast<int>(n), {**section.from, section.to ? **section.to : end}});
    }
    std::ranges::stable_sort(parts, {}, [](ChartlessPart const& part) { return part.span.from; });
    return parts;
}

/// Playing that no section accounts for: not in a chart, and not where chords are shown one by one.
std::vector<StrayPlaying> unexpected_playing(Lesson const& lesson, std::vector<Stretch> const& stray, double seconds)
{
    std::vector<StrayPlaying> result;
    auto const add = [&result](Interval heard, std::optional<int> section, std::string name) {
        if (heard.length() >= kShortestPlaying)
            result.push_back({heard, section, std::move(name)});
    };
    auto const parts = chartless_parts(lesson, from_seconds(seconds));
    for (Stretch const& stretch : stray) {
        Interval rest{from_seconds(stretch.from), from_seconds(stretch.to)};
        for (ChartlessPart const& part : parts) {
            Section const& section = lesson.sections[static_cast<std::size_t>(part.section)];
            auto const shared = overlap(rest, part.span);
            if (shared.empty() || (is_talk(*section.name) && !shows_chords(section)))
                continue;
            add({rest.from, shared.from}, std::nullopt, "");
            if (!shows_chords(section))
                add(shared, part.section, *section.name);
            rest.from = shared.to;
        }
        add(rest, std::nullopt, "");
    }
    return result;
}

std::string place_text(HeardChordCue const& cue, HeardSection const& section)
{
    return fmt::format("{} in bar {} of {}", cue.written.empty() ? "N.C." : cue.written, cue.position.bar,
                       section.name);
}

Time offset_of(TempoMap const& map, HeardChordCue const& cue) { return map.time_at(cue.position) - cue.time; }

/// By how much the cues of a section are off together. One stroke is mostly found too late if at all, as its last
/// strings may drown its first; so the later of the middle offsets count. None where there are few.
std::optional<Time> common_offset(TempoMap const& map, std::vector<HeardChordCue> const& changes)
{
    if (changes.size() < 4)
        return std::nullopt;
    std::vector<Time> offsets;
    for (HeardChordCue const& cue : changes)
        offsets.push_back(offset_of(map, cue));
    auto const place = offsets.begin() + std::ssize(offsets) * 3 / 5;
    std::ranges::nth_element(offsets, place);
    return *place;
}

std::string why_not_compared(HeardSection const& heard)
{
    if (!heard.found)
        return "is not heard as its chart has it";
    if (heard.confidence < kTrusted)
        return fmt::format("is not heard as its chart has it ({:.0f} % fits)", 100 * heard.confidence);
    return heard.playable ? fmt::format("cannot be compared with the sound: {}", heard.doubt)
                          : "cannot be compared with the sound: it is heard at a tempo that nobody plays";
}

void compare_section(std::filesystem::path const& file, Section const& section, HeardSection const& heard,
                     SyncWindow const& window, std::vector<Finding>& findings)
{
    auto const map = tempo_map(section);
    if (!heard.trusted() || !map) {
        findings.push_back(
            kPartNotHeard.at(heard.at, std::nullopt, fmt::format("{} {}", heard.name, why_not_compared(heard)),
                             fmt::format("check its chords and its place, or look in the whole film ({} --anywhere)",
                                         listen_command(file))));
        return;
    }
    auto const common = common_offset(*map, heard.changes);
    auto const unnoticed = [&](Time offset) { return offset <= window.late && -offset <= window.early; };
    for (HeardChordCue const& cue : heard.changes) {
        Time const shown = map->time_at(cue.position);
        Time const own = offset_of(*map, cue);
        // What is within the error of finding one stroke is known better from all of them.
        Time const offset = common && std::chrono::abs(own - *common) <= kOnsetError ? *common : own;
        if (!unnoticed(offset) && !(cue.other_time && unnoticed(shown - *cue.other_time)))
            findings.push_back(
                kCueOffSound.at(cue.at, shown,
                                fmt::format("{} is shown {:.0f} ms {} it sounds", place_text(cue, heard),
                                            std::abs(1000 * to_seconds(offset)), offset < Time{0} ? "before" : "after"),
                                fmt::format("it sounds at {}", print_time(shown - offset, 2))));
        if (!cue.sounds_like.empty())
            findings.push_back(kChordNotAsWritten.at(
                cue.at, shown, fmt::format("{} sounds like {}", place_text(cue, heard), cue.sounds_like),
                "listen to it, and change the chart if it is wrong"));
    }
}

Finding stray_finding(Lesson const& lesson, StrayPlaying const& playing)
{
    auto const when =
        fmt::format("a guitar plays from {} to {}", print_time(playing.heard.from, 1), print_time(playing.heard.to, 1));
    if (playing.section)
        return kPlayedWithoutChords.at(lesson.sections[static_cast<std::size_t>(*playing.section)].at,
                                       playing.heard.from,
                                       fmt::format("{}, and the part '{}' has no chords", when, playing.part),
                                       fmt::format("write them into its \"bars\", then find when they are played ({})",
                                                   listen_command(lesson.file)));
    return kUnexpectedPlaying.at(lesson.footage.at, playing.heard.from, when + " and no part has chords there",
                                 "add a part with its bars if the learner is to follow it");
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
        if (!heard.found || !lesson.sections[own].from || !heard.doubt.empty())
            continue;
        for (std::size_t other = 0; other < lesson.sections.size(); ++other)
            if (other != own && passes(other)) {
                heard.doubt =
                    fmt::format("that is {} '{}', which the file puts at {}", other < own ? "before" : "after",
                                *lesson.sections[other].name, print_time(**lesson.sections[other].from, 1));
                break;
            }
    }
}

} // namespace

bool HeardSection::trusted() const { return found && playable && doubt.empty() && confidence >= kTrusted; }

LessonHeard listen(Lesson const& lesson, Hearing const& heard, Places places)
{
    auto const music = lesson_music(lesson, places);
    auto const alignment = align(heard, music.parts);
    LessonHeard result;
    result.tuning_cents = 100 * heard.tuning;
    result.frets_off = alignment.transposition.semitones;
    result.remarks = music.remarks;
    for (std::size_t n = 0; n < music.parts.size(); ++n)
        result.sections.push_back(section_of(lesson, music.parts[n], music.origins[n], alignment.parts[n]));
    if (places == Places::as_written)
        doubt_what_passes_its_neighbours(lesson, result.sections);
    result.unexpected = unexpected_playing(lesson, alignment.stray, heard.seconds());
    return result;
}

std::vector<Finding> compare_with_sound(Lesson const& lesson, Hearing const& heard, SyncWindow const& window)
{
    // The cues are what is judged: their pins must not lead the search.
    auto music = lesson_music(lesson, Places::as_written, false);
    for (ExpectedPart& part : music.parts)
        part.about_deviation = 0.3; // finished cues are about right
    auto const alignment = align(heard, music.parts);
    std::vector<Finding> findings;
    if (int const off = alignment.transposition.semitones; off != 0)
        findings.push_back(
            kCapoNotAsHeard.at(lesson.capo.at, std::nullopt,
                               fmt::format("everything sounds {} {} {} than charted", std::abs(off),
                                           std::abs(off) == 1 ? "fret" : "frets", off > 0 ? "higher" : "lower"),
                               "is the capo right?"));
    for (std::size_t n = 0; n < music.parts.size(); ++n) {
        auto const section = section_of(lesson, music.parts[n], music.origins[n], alignment.parts[n]);
        compare_section(lesson.file, lesson.sections[static_cast<std::size_t>(section.section)], section, window,
                        findings);
    }
    for (StrayPlaying const& playing : unexpected_playing(lesson, alignment.stray, heard.seconds()))
        findings.push_back(stray_finding(lesson, playing));
    return findings;
}

} // namespace tabard::pipeline
