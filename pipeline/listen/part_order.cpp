#include "pipeline/listen/part_order.h"

#include <algorithm>
#include <functional>
#include <numeric>
#include <optional>

namespace tabard::pipeline {

namespace {

constexpr double kReordered = 15; ///< nats by which another order must be likelier

double overlap(Boundaries const& one, Boundaries const& other)
{
    return std::min(one.back(), other.back()) - std::max(one.front(), other.front());
}

bool shares_time(Boundaries const& one, Boundaries const& other)
{
    return overlap(one, other) > 0.2 * std::min(one.back() - one.front(), other.back() - other.front());
}

/// One part's places, and the one that it was given.
struct Placed {
    std::size_t part = 0;
    std::vector<PartPlace> places;
    std::optional<PartPlace> at;

    double nats() const { return at ? at->nats : 0; }
    /// Its place where another part lies.
    PartPlace const* place_near(PartPlace const& other) const
    {
        auto const found = std::ranges::find_if(places, [&](PartPlace const& place) {
            return overlap(place.boundaries, other.boundaries) > 0.8 * (other.to() - other.from());
        });
        return found == places.end() ? nullptr : &*found;
    }
};

double total(std::vector<Placed> const& parts)
{
    return std::accumulate(parts.begin(), parts.end(), 0.0,
                           [](double sum, Placed const& placed) { return sum + placed.nats(); });
}

/// The best place of all first, then the best of what is left.
void take_best(std::vector<Placed>& parts, std::vector<Boundaries> taken)
{
    struct Choice {
        Placed* part;
        PartPlace const* place;
    };
    std::vector<Choice> choices;
    for (Placed& placed : parts)
        for (PartPlace const& place : placed.places)
            choices.push_back({&placed, &place});
    std::ranges::stable_sort(choices, std::greater{}, [](Choice const& choice) { return choice.place->nats; });
    for (Choice const& choice : choices) {
        auto const& boundaries = choice.place->boundaries;
        if (choice.part->at || std::ranges::any_of(taken, [&](auto const& t) { return shares_time(t, boundaries); }))
            continue;
        choice.part->at = *choice.place;
        taken.push_back(boundaries);
    }
}

/// Two parts that sound much the same are played in the order of the file.
void prefer_order(std::vector<Placed>& parts)
{
    for (Placed& first : parts)
        for (Placed& second : parts) {
            if (first.part >= second.part || !first.at || !second.at || first.at->from() < second.at->from())
                continue;
            auto const* early = first.place_near(*second.at);
            auto const* late = second.place_near(*first.at);
            if (early && late && early->nats + late->nats > first.nats() + second.nats() - kReordered) {
                first.at = PartPlace(*early);
                second.at = PartPlace(*late);
            }
        }
}

} // namespace

std::vector<Boundaries> reorder_parts(EvidenceGrid const& grid, ChordEvidence const& evidence,
                                      ExpectedMusic const& chart, std::span<double const> beat_seconds,
                                      CoarseSettings const& settings, std::vector<Boundaries> in_order)
{
    std::vector<Placed> free;
    std::vector<Boundaries> taken;
    double written = 0;
    for (std::size_t p = 0; p < chart.size(); ++p) {
        Boundaries const& now = in_order[p];
        // Without a tempo the longest stretch speaks loudest, wherever it is.
        if (chart[p].about || !chart[p].pins.empty() || !chart[p].tempo_known) {
            if (!now.empty())
                taken.push_back(now);
            continue;
        }
        auto const places = [&](double from, double to) {
            return places_of(grid, evidence, chart[p], beat_seconds[p], settings.deviation, from, to);
        };
        free.push_back({p, places(0, grid.size * grid.step), std::nullopt});
        if (auto const here = now.empty() ? std::vector<PartPlace>{} : places(now.front() - 0.5, now.back() + 0.5);
            !here.empty())
            written += here.front().nats;
    }
    take_best(free, taken);
    prefer_order(free);
    if (total(free) < written + kReordered)
        return in_order;
    for (Placed const& placed : free)
        in_order[placed.part] = placed.at ? placed.at->boundaries : Boundaries{};
    return in_order;
}

std::vector<std::size_t> played_order(std::span<Boundaries const> boundaries)
{
    std::vector<double> times;
    for (Boundaries const& part : boundaries)
        times.push_back(!part.empty() ? part.front() : times.empty() ? 0 : times.back());
    std::vector<std::size_t> order(boundaries.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::ranges::stable_sort(order, {}, [&](std::size_t part) { return times[part]; });
    return order;
}

} // namespace tabard::pipeline
