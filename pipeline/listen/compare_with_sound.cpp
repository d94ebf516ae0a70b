#include "pipeline/listen/compare_with_sound.h"

#include "pipeline/cues/next_command.h"
#include "pipeline/listen/cue_reading.h"
#include "pipeline/listen/lesson_music.h"
#include "pipeline/listen/listen_codes.h"
#include "pipeline/listen/stray_playing.h"
#include "pipeline/listen/triad_name.h"
#include "pipeline/listen/unexpected_playing.h"
#include "pipeline/time/timecode.h"
#include "pipeline/timeline/tempo_map.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace tabard::pipeline {

namespace {

/// A part of the lesson with its times, and what the sound says of it.
struct ComparedPart {
    Section const* section;
    PartOrigin origin;
    CuedPart cued;
    PartReading reading;

    std::string name() const { return on_one_line(*section->name); }
    double from() const { return cued.spans.front().from; }
    std::size_t cues() const
    {
        std::size_t count = 0;
        for (std::size_t n = 0; n < cued.spans.size(); ++n)
            count += cued.chart.changes(n) ? 1 : 0;
        return count;
    }
    std::string position(std::size_t span) const
    {
        return origin.position(cued.chart.spans[span].first_beat, *section->meter).text();
    }
    std::string chord_in_bar(std::size_t span) const
    {
        return fmt::format("{} in bar {}", origin.names[span].empty() ? "N.C." : origin.names[span],
                           origin.position(cued.chart.spans[span].first_beat, *section->meter).bar);
    }
    /// All of it is off by as much.
    bool all_off() const { return reading.off.size() == 1 && reading.off.front().cues == cues() && cues() > 1; }
};

std::vector<Stretch> spans_in_time(ExpectedPart const& chart, PartOrigin const& origin, TempoMap const& map)
{
    std::vector<Stretch> spans;
    auto const tick = [&](int beat) { return origin.first_tick + beat * origin.ticks_per_beat; };
    for (ExpectedSpan const& span : chart.spans)
        spans.push_back({to_seconds(map.time_at(tick(span.first_beat))),
                         to_seconds(map.end_at(tick(span.first_beat + span.beats)))});
    return spans;
}

/// Every part that has a chart and times, in the order in which they are played.
std::vector<ComparedPart> parts_of(Lesson const& lesson)
{
    // The cues are what is judged: their pins must not lead the reading.
    auto music = lesson_music(lesson, Places::as_written, false);
    std::vector<ComparedPart> parts;
    for (std::size_t n = 0; n < music.parts.size(); ++n) {
        Section const& section = lesson.sections[static_cast<std::size_t>(music.origins[n].section)];
        auto const map = tempo_map(section);
        if (!map)
            continue; // check says "no-time"
        auto spans = spans_in_time(music.parts[n], music.origins[n], *map);
        parts.push_back({&section, std::move(music.origins[n]), {std::move(music.parts[n]), std::move(spans)}, {}});
    }
    return parts;
}

/// "80 ms", "3.2 s".
std::string amount(double seconds)
{
    double const size = std::abs(seconds);
    return size < 0.9995 ? fmt::format("{:.0f} ms", 1000 * size) : fmt::format("{:.1f} s", size);
}

char const* side(double late) { return late < 0 ? "before" : "after"; }

std::string time_text(double seconds) { return print_time(from_seconds(std::max(0.0, seconds)), 2); }

Finding part_finding(Lesson const& lesson, ComparedPart const& part, double late)
{
    return kCueOffSound.at(part.section->at, from_seconds(part.from()),
                           fmt::format("{} is shown {} {} it is played", part.name(), amount(late), side(late)),
                           fmt::format("it begins at {}: move its times, or have them found again ({})",
                                       time_text(part.from() - late), listen_command(lesson.file)));
}

Finding cue_finding(ComparedPart const& part, CuesOff const& off)
{
    auto const place = part.origin.places[off.first];
    double const cue = part.cued.spans[off.first].from;
    auto const where = fmt::format("{} of {}", part.chord_in_bar(off.first), part.name());
    auto const pin = fmt::format("it sounds at {}; a pin puts it there: [\"{}\", \"{}\"]", time_text(cue - off.late),
                                 part.position(off.first), time_text(cue - off.late));
    if (off.cues == 1)
        return kCueOffSound.at(place, from_seconds(cue),
                               fmt::format("{} is shown {} {} it sounds", where, amount(off.late), side(off.late)),
                               pin);
    return kCueOffSound.at(place, from_seconds(cue),
                           fmt::format("{} and the next {} are shown {} {} they sound", where,
                                       off.cues == 2 ? "change" : fmt::format("{} changes", off.cues - 1),
                                       amount(off.late), side(off.late)),
                           pin);
}

Finding lesson_finding(Lesson const& lesson, std::vector<ComparedPart> const& parts, double late)
{
    return kCueOffSound.at(
        parts.front().section->at, from_seconds(parts.front().from()),
        parts.size() == 1
            ? fmt::format("{} is shown {} {} it is played", parts.front().name(), amount(late), side(late))
            : fmt::format("all {} parts are shown {} {} they are played", parts.size(), amount(late), side(late)),
        fmt::format("move every time of the file by {}, or have them found again ({} --anywhere)", amount(late),
                    listen_command(lesson.file)));
}

/// `all_off`: all parts are, and that is said of the lesson.
void compare_part(Lesson const& lesson, ComparedPart const& part, bool all_off, std::vector<Finding>& findings)
{
    if (part.reading.elsewhere) {
        double const late = part.reading.late.value_or(0) - *part.reading.elsewhere;
        findings.push_back(part_finding(lesson, part, late));
        return;
    }
    if (part.reading.fits < kHeardHere) {
        findings.push_back(kPartNotHeard.at(
            part.section->at, std::nullopt,
            fmt::format("{} is not heard as its chart has it ({:.0f} % fits)", part.name(), 100 * part.reading.fits),
            fmt::format("check its chords and its place, or look in the whole film ({} --anywhere)",
                        listen_command(lesson.file))));
        return;
    }
    if (part.all_off())
        findings.push_back(part_finding(lesson, part, part.reading.off.front().late));
    else
        for (CuesOff const& off : part.reading.off)
            findings.push_back(cue_finding(part, off));
    if (!all_off && part.reading.off.empty() && part.reading.margin < kClearMargin)
        findings.push_back(
            kCuesNotJudged.at(part.section->at, from_seconds(part.from()),
                              fmt::format("the sound does not say whether {} is shown at the right time", part.name()),
                              "half a beat or a beat off would sound as well: look at it and listen"));
    for (std::size_t n = 0; n < part.reading.chords.size(); ++n)
        if (part.reading.chords[n].fit == Fit::differs)
            findings.push_back(
                kChordNotAsWritten.at(part.origin.places[n], from_seconds(part.cued.spans[n].from),
                                      fmt::format("{} of {} sounds like {}", part.chord_in_bar(n), part.name(),
                                                  triad_name(part.reading.chords[n].sounds_like, *lesson.capo)),
                                      "listen to it, and change the chart if it is wrong"));
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

/// Where the parts are played, as the sound has it.
std::vector<Stretch> played_stretches(std::vector<ComparedPart> const& parts, double common)
{
    std::vector<Stretch> stretches;
    for (ComparedPart const& part : parts) {
        double const by = part.reading.elsewhere.value_or(common);
        if (part.reading.fits >= kHeardHere)
            stretches.push_back({part.from() + by, part.cued.spans.back().to + by});
    }
    std::ranges::sort(stretches, {}, &Stretch::from);
    return stretches;
}

} // namespace

std::vector<Finding> compare_with_sound(Lesson const& lesson, Hearing const& heard, SyncWindow const& window)
{
    auto parts = parts_of(lesson);
    std::vector<CuedPart> cued;
    for (ComparedPart const& part : parts)
        cued.push_back(part.cued);
    auto reading = read_cues(heard, cued, {to_seconds(window.late), to_seconds(window.early)});
    for (std::size_t n = 0; n < parts.size(); ++n) {
        parts[n].reading = std::move(reading.parts[n]);
        for (CuesOff& off : parts[n].reading.off)
            off.late -= reading.common; // of the cues as they are written
    }

    std::vector<Finding> findings;
    if (int const off = reading.semitones; off != 0)
        findings.push_back(
            kCapoNotAsHeard.at(lesson.capo.at, std::nullopt,
                               fmt::format("everything sounds {} {} {} than charted", std::abs(off),
                                           std::abs(off) == 1 ? "fret" : "frets", off > 0 ? "higher" : "lower"),
                               "is the capo right?"));
    if (reading.common != 0)
        findings.push_back(lesson_finding(lesson, parts, -reading.common));
    for (ComparedPart const& part : parts)
        compare_part(lesson, part, reading.common != 0, findings);
    for (StrayPlaying const& playing :
         unexpected_playing(lesson, stray_playing(heard, played_stretches(parts, reading.common)), heard.seconds()))
        findings.push_back(stray_finding(lesson, playing));
    return findings;
}

} // namespace tabard::pipeline
