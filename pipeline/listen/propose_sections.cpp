#include "pipeline/listen/propose_sections.h"

#include "pipeline/listen/playing.h"
#include "pipeline/listen/strokes.h"
#include "pipeline/listen/tempo.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include <fmt/format.h>

namespace tabard::pipeline {

namespace {

constexpr double kShortest = 3;       ///< seconds: shorter stretches are a word or a chord in between
constexpr double kShortestLast = 1.5; ///< but a word is what a lesson ends with

/// Stretches worth a section: silence and what is short are left to the neighbour before.
std::vector<ActivityStretch> worth_a_section(std::vector<ActivityStretch> const& all)
{
    auto const last = std::ranges::find_if(
        all.rbegin(), all.rend(), [](ActivityStretch const& found) { return found.activity != Activity::silence; });
    std::vector<ActivityStretch> result;
    for (ActivityStretch const& found : all) {
        bool const ends = last != all.rend() && &found == &*last && found.activity == Activity::talk;
        bool const small = found.stretch.to - found.stretch.from < (ends ? kShortestLast : kShortest);
        if (found.activity == Activity::silence || small)
            continue;
        if (result.empty() || result.back().activity != found.activity)
            result.push_back(found);
        else
            result.back().stretch.to = found.stretch.to;
    }
    return result;
}

/// Where the player rests, a part ends: the stroke after it begins the next. One that lets every chord ring rests no
/// longer than usual.
std::vector<double> first_strokes_after_rests(Hearing const& heard, Stretch stretch)
{
    constexpr double kRest = 1.8;    // seconds without a stroke
    constexpr double kUsual = 2.2;   // times what lies between most strokes
    constexpr double kClear = 0.15;  // novelty of a stroke
    constexpr double kLeastPart = 5; // seconds
    auto const strokes = strokes_of(heard, stretch);
    std::vector<double> clear;
    for (std::size_t n = 0; n < strokes.seconds.size(); ++n)
        if (strokes.weights[n] >= kClear)
            clear.push_back(stretch.from + strokes.seconds[n]);
    std::vector<double> between;
    for (std::size_t n = 1; n < clear.size(); ++n)
        between.push_back(clear[n] - clear[n - 1]);
    std::vector<double> result;
    if (between.empty())
        return result;
    auto sorted = between;
    auto const usual = sorted.begin() + std::ssize(sorted) * 9 / 10;
    std::nth_element(sorted.begin(), usual, sorted.end());
    double const rest = std::max(kRest, kUsual * *usual);
    for (std::size_t n = 0; n < between.size(); ++n)
        if (between[n] >= rest && clear[n + 1] - stretch.from >= kLeastPart && stretch.to - clear[n + 1] >= kLeastPart)
            result.push_back(clear[n + 1]);
    return result;
}

/// Playing divided where it rests.
std::vector<ActivityStretch> divided(Hearing const& heard, std::vector<ActivityStretch> const& all)
{
    std::vector<ActivityStretch> result;
    for (ActivityStretch const& found : all) {
        result.push_back(found);
        if (found.activity != Activity::played)
            continue;
        for (double const stroke : first_strokes_after_rests(heard, found.stretch)) {
            result.back().stretch.to = stroke;
            result.push_back({{stroke, found.stretch.to}, Activity::played});
        }
    }
    return result;
}

/// To a tenth of a second, as a person would write it.
Time rounded(double seconds) { return from_ticks(std::llround(10 * seconds), 1, 10); }

} // namespace

std::vector<StarterSection> propose_sections(Hearing const& heard, Time duration)
{
    auto const stretches = divided(heard, worth_a_section(find_activity(heard)));
    std::vector<Stretch> parts;
    for (ActivityStretch const& found : stretches)
        if (found.activity == Activity::played)
            parts.push_back(found.stretch);
    auto const tempos = estimate_tempos(heard, parts);
    std::vector<StarterSection> sections;
    std::size_t part = 0;
    int talks = 0;
    for (std::size_t n = 0; n < stretches.size(); ++n) {
        StarterSection section;
        section.from = n == 0 ? Time{0} : rounded(stretches[n].stretch.from);
        section.to = n + 1 < stretches.size() ? rounded(stretches[n + 1].stretch.from) : duration;
        section.played = stretches[n].activity == Activity::played;
        if (section.played) {
            if (auto const& tempo = tempos[part]) {
                section.tempo = Tempo{std::llround(60 / tempo->beat_seconds) * 1000};
                section.meter = tempo->meter;
            }
            section.name = fmt::format("Part {}", ++part);
        } else {
            section.name = fmt::format("Talk {}", ++talks);
        }
        if (section.from < section.to)
            sections.push_back(std::move(section));
    }
    return sections;
}

} // namespace tabard::pipeline
