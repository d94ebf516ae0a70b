#include "pipeline/listen/stray_parts.h"

#include "pipeline/listen/place_part.h"
#include "pipeline/listen/semi_markov.h"
#include "pipeline/listen/stray_playing.h"

#include <algorithm>
#include <functional>

namespace tabard::pipeline {

namespace {

constexpr double kSure = 0.75;      ///< confidence from which a place is the part's
constexpr double kOtherTempo = 1.3; ///< times the part's, or as many times less: another part
constexpr double kDeviation = 0.15; ///< as in the first search for the parts

struct Candidate {
    AlignedPart placed;
    double nats = 0;
};

std::vector<Candidate> candidates(Hearing const& heard, ChordEvidence const& evidence, EvidenceGrid const& grid,
                                  ExpectedPart part, double beat_seconds, std::vector<Stretch> const& stray)
{
    part.pins.clear();
    double const length = part.beats() * beat_seconds;
    std::vector<Candidate> result;
    for (Stretch const& stretch : stray) {
        if (stretch.to - stretch.from < 0.7 * length)
            continue;
        for (PartPlace const& place :
             places_of(grid, evidence, part, beat_seconds, kDeviation, stretch.from - 1, stretch.to + 1)) {
            double const stretched = (place.to() - place.from()) / length;
            if (stretched > kOtherTempo || stretched * kOtherTempo < 1)
                continue;
            auto placed = place_part(heard, evidence, part, place.boundaries);
            if (placed.confidence >= kSure)
                result.push_back({std::move(placed), place.nats});
        }
    }
    std::ranges::stable_sort(result, std::greater{}, &Candidate::nats);
    return result;
}

} // namespace

std::vector<Stretch> stretches_of(std::span<AlignedPart const> parts)
{
    std::vector<Stretch> stretches;
    for (AlignedPart const& part : parts) {
        if (!part.found)
            continue;
        bool const begun_before = !part.deviations.empty() && part.deviations.front().beat == 0;
        stretches.push_back({begun_before ? part.deviations.front().from : part.beats.front(), part.beats.back()});
    }
    std::ranges::sort(stretches, {}, &Stretch::from);
    return stretches;
}

void find_in_stray_playing(Hearing const& heard, ChordEvidence const& evidence, EvidenceGrid const& grid,
                           ExpectedMusic const& chart, std::span<double const> beat_seconds,
                           std::vector<AlignedPart>& parts)
{
    auto stray = stray_playing(heard, stretches_of(parts));
    auto const find = [&](std::size_t p) {
        return candidates(heard, evidence, grid, chart[p], beat_seconds[p], stray);
    };
    for (std::size_t p = 0; p < chart.size() && !stray.empty(); ++p) {
        if (parts[p].found)
            continue;
        if (auto found = find(p); !found.empty()) {
            parts[p] = std::move(found.front().placed);
            parts[p].elsewhere = true;
            stray = stray_playing(heard, stretches_of(parts));
        }
    }
    for (std::size_t p = 0; p < chart.size() && !stray.empty(); ++p) {
        if (!parts[p].found)
            continue;
        for (Candidate const& other : find(p))
            parts[p].also_at.push_back(
                {{other.placed.beats.front(), other.placed.beats.back()}, other.placed.confidence});
    }
}

} // namespace tabard::pipeline
