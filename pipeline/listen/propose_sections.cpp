#include "pipeline/listen/propose_sections.h"

#include "pipeline/listen/playing.h"

#include <cmath>

#include <fmt/format.h>

namespace tabard::pipeline {

namespace {

constexpr double kShortest = 3; ///< seconds: shorter stretches are a word or a chord in between

/// Stretches worth a section: silence and what is short are left to the neighbour before.
std::vector<ActivityStretch> worth_a_section(std::vector<ActivityStretch> const& all)
{
    std::vector<ActivityStretch> result;
    for (ActivityStretch const& found : all) {
        bool const small = found.activity == Activity::silence || found.stretch.to - found.stretch.from < kShortest;
        if (!small && (result.empty() || result.back().activity != found.activity))
            result.push_back(found);
    }
    return result;
}

/// To a tenth of a second, as a person would write it.
Time rounded(double seconds) { return from_ticks(std::llround(10 * seconds), 1, 10); }

} // namespace

std::vector<StarterSection> propose_sections(Hearing const& heard, Time duration)
{
    auto const stretches = worth_a_section(find_activity(heard));
    std::vector<StarterSection> sections;
    int parts = 0;
    int talks = 0;
    for (std::size_t n = 0; n < stretches.size(); ++n) {
        bool const played = stretches[n].activity == Activity::played;
        StarterSection section;
        section.name = played ? fmt::format("Part {}", ++parts) : fmt::format("Talk {}", ++talks);
        section.from = n == 0 ? Time{0} : rounded(stretches[n].stretch.from);
        section.to = n + 1 < stretches.size() ? rounded(stretches[n + 1].stretch.from) : duration;
        if (section.to <= section.from)
            continue;
        section.played = played;
        if (stretches[n].beat_seconds)
            section.tempo = Tempo{std::llround(60 / *stretches[n].beat_seconds) * 1000};
        sections.push_back(std::move(section));
    }
    return sections;
}

} // namespace tabard::pipeline
