#include "tests/bench/listen/outcome.h"

#include "overlay/base/precondition.h"
#include "pipeline/cues/reader.h"
#include "pipeline/listen/align.h"
#include "pipeline/listen/deviation_text.h"
#include "pipeline/listen/lesson_music.h"
#include "pipeline/listen/listen.h"
#include "tests/support/performance/lesson_text.h"
#include "tests/support/performance/score.h"

#include <algorithm>
#include <chrono>
#include <cmath>

#include <fmt/format.h>

namespace tabard::tests {

namespace {

using pipeline::AlignedPart;
using pipeline::Deviation;
using pipeline::Stretch;

constexpr double kNever = 1e3;       ///< seconds: the error of a change that was not found
constexpr double kConfused = 0.2;    ///< seconds: a viewer is told the wrong thing
constexpr double kSameInstant = 0.3; ///< seconds: of where the playing leaves the chart and goes on with it

bool covers(std::vector<Stretch> const& stray, double from, double to)
{
    double covered = 0;
    for (Stretch const& one : stray)
        covered += std::max(0.0, std::min(one.to, to) - std::max(one.from, from));
    return covered >= 0.5 * (to - from);
}

/// The kind, the place within a beat, the time within 0.3 s. A bar that is played once more may as well be said to be
/// one that the chart does not have, as long as place and time say the same.
bool same(Deviation const& truth, Deviation const& heard)
{
    using Kind = Deviation::Kind;
    auto const more = [](Kind kind) { return kind == Kind::extra || kind == Kind::again; };
    bool const kind = truth.kind == heard.kind || (more(truth.kind) && more(heard.kind));
    return kind && std::abs(truth.beat - heard.beat) <= 1 && std::abs(truth.next_beat - heard.next_beat) <= 1 &&
           std::abs(truth.from - heard.from) <= kSameInstant && std::abs(truth.to - heard.to) <= kSameInstant;
}

/// "pause 16 to 16, 84.4 to 91.4 s".
std::string text_of(Deviation const& deviation)
{
    return fmt::format("{} {} to {}, {:.1f} to {:.1f} s", pipeline::deviation_word(deviation.kind), deviation.beat,
                       deviation.next_beat, deviation.from, deviation.to);
}

void compare_deviations(PlayedPart const& really, AlignedPart const& found, std::vector<Stretch> const& stray,
                        SectionOutcome& outcome)
{
    auto left = found.deviations;
    for (Deviation const& heard : found.deviations)
        outcome.deviations_heard.push_back(fmt::format("{} by {:.1f} nats", text_of(heard), heard.margin));
    for (Deviation const& truth : really.deviations) {
        outcome.deviations_made.push_back(text_of(truth));
        ++outcome.deviations;
        auto const match = std::ranges::find_if(left, [&](Deviation const& heard) { return same(truth, heard); });
        if (match != left.end()) {
            ++outcome.deviations_right;
            left.erase(match);
        } else if (truth.beat == 0 && covers(stray, truth.from, truth.to)) {
            // A false start is playing before the part.
            ++outcome.deviations_right;
        }
    }
    for (Deviation const& wrong : left)
        ++(wrong.sure() ? outcome.deviations_false : outcome.deviations_perhaps);
    std::vector<Stretch> also;
    for (pipeline::OtherPlace const& other : found.also_at)
        also.push_back(other.played);
    for (Pass const& pass : really.earlier) {
        double const from = pass.beats.front();
        double const to = pass.beats.back();
        ++outcome.deviations;
        outcome.deviations_right += covers(stray, from, to) || covers(also, from, to);
    }
}

std::vector<double> errors_against(pipeline::ExpectedPart const& part, PlayedPart const& really,
                                   AlignedPart const& found)
{
    std::vector<double> errors;
    for (std::size_t span = 0; span < part.spans.size(); ++span) {
        auto const error = error_of(part, really, span, found.found ? found.spans[span].seconds : kNever);
        if (error && is_watched(part, span))
            errors.push_back(found.found ? *error : kNever);
    }
    return errors;
}

/// Of a part that was played twice either time is right; the other one is then the earlier.
PlayedPart nearest_pass(PlayedPart const& really, AlignedPart const& found)
{
    PlayedPart nearest = really;
    for (std::size_t n = 0; found.found && n < really.earlier.size(); ++n) {
        Pass& pass = nearest.earlier[n];
        auto const off = [&](std::vector<double> const& beats) {
            return std::abs(beats[beats.size() / 2] - found.beats[found.beats.size() / 2]);
        };
        if (off(pass.beats) < off(nearest.beats)) {
            std::swap(nearest.beats, pass.beats);
            std::swap(nearest.span_starts, pass.span_starts);
        }
    }
    return nearest;
}

/// aubio cannot know where the parts are, so only its beats inside them count.
double peer_beat_f(Performance const& played, std::vector<double> const& beats)
{
    std::vector<double> truth;
    std::vector<double> inside;
    for (PlayedPart const& part : played.parts) {
        if (!part.played())
            continue;
        std::ranges::copy(played_beats(part.beats), std::back_inserter(truth));
        std::ranges::copy_if(beats, std::back_inserter(inside), [&](double beat) {
            return beat > part.beats.front() - 0.07 && beat < part.beats.back() - 0.07;
        });
    }
    std::ranges::sort(truth);
    std::ranges::sort(inside);
    return beat_f_measure(truth, inside);
}

double beat_f(std::vector<SectionOutcome> const& sections)
{
    std::vector<double> truth;
    std::vector<double> heard;
    for (SectionOutcome const& section : sections) {
        std::ranges::copy(played_beats(section.beats_played), std::back_inserter(truth));
        std::ranges::copy(played_beats(section.beats), std::back_inserter(heard));
    }
    std::ranges::sort(truth);
    std::ranges::sort(heard);
    return beat_f_measure(truth, heard);
}

} // namespace

bool SectionOutcome::every_change_within(double seconds) const
{
    return std::ranges::all_of(errors, [=](double error) { return error <= seconds; });
}

bool SectionOutcome::confident_and_wrong() const { return trusted && (!played || !every_change_within(kConfused)); }

TakeOutcome outcome_of(BenchTake const& take, std::string const& name, pipeline::Hearing const& heard,
                       double hearing_seconds)
{
    using Clock = std::chrono::steady_clock;
    Performance const& played = take.take.played;
    auto const reading = pipeline::parse_lesson(rough_lesson(played), "lantern.json", {{}, pipeline::Charts::untimed});
    PRECONDITION(reading.usable());
    auto const& lesson = *reading.lesson;

    TakeOutcome result;
    auto const start = Clock::now();
    auto const said = pipeline::listen(lesson, heard);
    result.work_seconds = hearing_seconds + std::chrono::duration<double>(Clock::now() - start).count();
    result.sound_seconds = static_cast<double>(take.take.sound.size()) / kSampleRate;
    // What listen() itself worked with: its answer holds neither every beat nor where the playing leaves the chart.
    auto const music = pipeline::lesson_music(lesson, pipeline::Places::as_written);
    auto const alignment = pipeline::align(heard, music.parts);
    auto const readings = pipeline::read_again(heard, music.parts, alignment.parts);

    for (std::size_t n = 0; n < music.parts.size(); ++n) {
        auto const index = static_cast<std::size_t>(music.origins[n].section);
        AlignedPart const& found = alignment.parts[n];
        auto const& section = said.sections[n];
        PRECONDITION(section.section == music.origins[n].section);
        PlayedPart const really = nearest_pass(played.parts[index], found);
        SectionOutcome outcome;
        outcome.name = fmt::format("{}, part {}", name, index + 1);
        outcome.played = really.played();
        outcome.found = found.found;
        outcome.trusted = section.trusted();
        outcome.doubt = section.reason;
        if (found.found)
            outcome.signs = pipeline::signs_of(music.parts[n], found, readings[n]);
        outcome.confidence = section.confidence;
        outcome.pins = static_cast<int>(section.pins.size());
        outcome.errors = errors_against(music.parts[n], really, found);
        outcome.beats = found.beats;
        outcome.beats_played = really.beats;
        compare_deviations(really, found, alignment.stray, outcome);
        result.sections.push_back(std::move(outcome));
    }
    result.beat_f = beat_f(result.sections);
    result.peer_beat_f = peer_beat_f(played, take.aubio);
    return result;
}

} // namespace tabard::tests
