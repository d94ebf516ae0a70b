// How well `start` divides built lessons into parts and talk, and how well it hears their tempo and meter: a table by
// kind of playing, and one by what surrounds it.
//   start_bench [--tune] [--lessons N] [--only TEXT] [--verbose]
// --tune takes the patterns and seeds that settings may be tuned on; the figures of a release come from the others.
#include "pipeline/listen/hearing.h"
#include "pipeline/listen/propose_sections.h"
#include "tests/bench/options.h"
#include "tests/support/performance/guitars.h"
#include "tests/support/performance/staged_lesson.h"
#include "tests/support/performance/talk.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <string>
#include <vector>

#include <fmt/format.h>

namespace tabard::tests {
namespace {

using pipeline::StarterSection;

struct Options {
    bool tune = false;
    int lessons = 2;
    std::string only;
    bool verbose = false;
};

struct Scene {
    std::string name;
    Staging staging;
};

std::vector<Scene> scenes()
{
    std::vector<Scene> all{
        {"talk around, 3 s at the end", {}},
        {"talk at the end alone", {.opening = 0, .between = 0, .breath = 0.6}},
        {"no talk", {.opening = 0, .between = 0, .closing = 0, .breath = 2}},
        {"short talk", {.opening = 4, .between = 4, .closing = 3, .breath = 0.5}},
        {"quiet talk", {.voice_level = 0.4}},
        {"loud talk", {.voice_level = 2}},
        {"sung over", {.singing = 0.7}},
        {"hall", {.reverb_seconds = 1.2}},
        {"noise at 15 dB", {.noise_decibels = 15}},
    };
    if (!recorded_talk(0).empty()) {
        all.push_back({"recorded talk, 3 s at the end", {.voice = Voice::recorded}});
        all.push_back({"recorded talk, short", {.opening = 4, .between = 4, .breath = 0.5, .voice = Voice::recorded}});
    }
    return all;
}

/// Counts over lessons.
struct Tally {
    int parts = 0;
    int lost = 0;   ///< less than half of it is in proposed parts
    int begins = 0; ///< a proposed part begins within 2 s of it
    int right = 0;  ///< tempo within 4 %
    int octave = 0; ///< half or double
    int wrong = 0;  ///< another: 1.5 times and the like
    int silent = 0; ///< none said
    int meters = 0; ///< said, whatever it is
    int meters_wrong = 0;
    int closings = 0;
    int closings_found = 0;
    double seconds = 0;
    double seconds_right = 0;

    void add(StagedLesson const& lesson, std::vector<StarterSection> const& sections);
    void add_tempo(StagedStretch const& part, overlay::Meter meter, StarterSection const& found);
    static std::string header();
    std::string row(std::string const& name) const;
};

double covered(StagedStretch const& stretch, std::vector<StarterSection> const& sections)
{
    double sum = 0;
    for (StarterSection const& section : sections)
        if (section.played == stretch.played)
            sum += std::max(0.0, std::min(stretch.to, pipeline::to_seconds(section.to)) -
                                     std::max(stretch.from, pipeline::to_seconds(section.from)));
    return sum;
}

void Tally::add(StagedLesson const& lesson, std::vector<StarterSection> const& sections)
{
    for (StagedStretch const& stretch : lesson.stretches) {
        double const labelled = covered(stretch, sections);
        seconds += stretch.to - stretch.from;
        seconds_right += labelled;
        if (!stretch.played)
            continue;
        ++parts;
        lost += labelled < 0.5 * (stretch.to - stretch.from) ? 1 : 0;
        begins += std::ranges::any_of(sections, [&](StarterSection const& section) {
            return section.played && std::abs(pipeline::to_seconds(section.from) - stretch.from) < 2;
        });
        double const middle = 0.5 * (stretch.from + stretch.to);
        auto const found = std::ranges::find_if(sections, [&](StarterSection const& section) {
            return section.played && pipeline::to_seconds(section.from) <= middle &&
                   middle < pipeline::to_seconds(section.to);
        });
        if (found == sections.end())
            ++silent;
        else
            add_tempo(stretch, lesson.meter, *found);
    }
    if (auto const& last = lesson.stretches.back(); !last.played) {
        ++closings;
        auto const& said = sections.empty() ? StarterSection{} : sections.back();
        closings_found += !said.played && std::abs(pipeline::to_seconds(said.from) - last.from) < 2;
    }
}

void Tally::add_tempo(StagedStretch const& part, overlay::Meter meter, StarterSection const& found)
{
    if (!found.tempo) {
        ++silent;
        return;
    }
    double const ratio = static_cast<double>(found.tempo->thousandths) / 1000 / part.tempo;
    auto const near = [&](double wanted) { return std::abs(ratio / wanted - 1) < 0.04; };
    if (near(1))
        ++right;
    else if (near(2) || near(0.5))
        ++octave;
    else
        ++wrong;
    if (found.meter) {
        ++meters;
        meters_wrong += *found.meter != meter ? 1 : 0;
    }
}

std::string Tally::header()
{
    return fmt::format("{:<32} {:>5} {:>5} {:>6} | {:>6} {:>6} {:>6} {:>6} | {:>6} {:>6} | {:>8} {:>6}", "kind",
                       "parts", "lost", "begin", "tempo", "octave", "wrong", "none", "meter", "wrong", "closing",
                       "time");
}

std::string Tally::row(std::string const& name) const
{
    auto const share = [&](int count, int of) { return of == 0 ? 0.0 : 100.0 * count / of; };
    return fmt::format("{:<32} {:>5} {:>5} {:>5.0f}% | {:>5.0f}% {:>5.0f}% {:>5.0f}% {:>5.0f}% | {:>5.0f}% {:>5.0f}% | "
                       "{:>3} of {:<3}{:>5.1f}%",
                       name, parts, lost, share(begins, parts), share(right, parts), share(octave, parts),
                       share(wrong, parts), share(silent, parts), share(meters, parts), share(meters_wrong, parts),
                       closings_found, closings, 100 * seconds_right / std::max(seconds, 1e-9));
}

void report(StagedLesson const& lesson, std::vector<StarterSection> const& sections)
{
    for (StagedStretch const& stretch : lesson.stretches)
        fmt::print("    truth {:>6.1f} {:>6.1f} {} {:.0f}\n", stretch.from, stretch.to,
                   stretch.played ? "part" : "talk", stretch.tempo);
    for (StarterSection const& section : sections)
        fmt::print("    found {:>6.1f} {:>6.1f} {} {:.0f} {}\n", pipeline::to_seconds(section.from),
                   pipeline::to_seconds(section.to), section.name,
                   section.tempo ? static_cast<double>(section.tempo->thousandths) / 1000 : 0.0,
                   section.meter ? section.meter->text() : "");
}

Tally run(PlayingKind const& kind, Staging const& staging, std::vector<NoteBank>& banks, Options const& options,
          std::uint32_t first)
{
    Tally tally;
    for (std::size_t bank = 0; bank < banks.size(); ++bank)
        for (int n = 0; n < options.lessons; ++n) {
            std::uint32_t const seed =
                first + 31 * static_cast<std::uint32_t>(n) + 7919 * static_cast<std::uint32_t>(bank);
            auto const lesson = stage_lesson(kind, staging, banks[bank], seed);
            auto const duration = pipeline::from_seconds(static_cast<double>(lesson.sound.size()) / kSampleRate);
            auto const sections = pipeline::propose_sections(pipeline::hear(lesson.sound), duration);
            tally.add(lesson, sections);
            if (options.verbose)
                report(lesson, sections);
        }
    return tally;
}

void add(Tally& all, Tally const& one)
{
    all.parts += one.parts;
    all.lost += one.lost;
    all.begins += one.begins;
    all.right += one.right;
    all.octave += one.octave;
    all.wrong += one.wrong;
    all.silent += one.silent;
    all.meters += one.meters;
    all.meters_wrong += one.meters_wrong;
    all.closings += one.closings;
    all.closings_found += one.closings_found;
    all.seconds += one.seconds;
    all.seconds_right += one.seconds_right;
}

} // namespace
} // namespace tabard::tests

int main(int count, char** words)
{
    using namespace tabard::tests;
    Options options;
    read_options(count, words,
                 {{"--tune", &options.tune},
                  {"--lessons", &options.lessons},
                  {"--only", &options.only},
                  {"--verbose", &options.verbose}});
    auto banks = guitars();
    auto const kinds = options.tune ? tuning_kinds() : evaluation_kinds();
    std::uint32_t seed = options.tune ? 2'000 : 600'000;
    fmt::print("{} lessons a row and guitar, {} guitars ({})\n{}\n", options.lessons, banks.size(),
               options.tune ? "tuning" : "evaluation", Tally::header());
    auto const wanted = [&](std::string const& name) {
        return options.only.empty() || name.find(options.only) != std::string::npos;
    };
    Tally all;
    auto const say = [&](PlayingKind const& kind, Staging const& staging, std::string const& name) {
        seed += 211;
        if (!wanted(name))
            return;
        auto const tally = run(kind, staging, banks, options, seed);
        add(all, tally);
        fmt::print("{}\n", tally.row(name));
        std::fflush(stdout);
    };
    for (PlayingKind const& kind : kinds)
        say(kind, {}, kind.name);
    std::size_t next = 0;
    for (Scene const& scene : scenes())
        say(kinds[next++ * 5 % kinds.size()], scene.staging, scene.name);
    fmt::print("{}\n", all.row("all"));
    return 0;
}
