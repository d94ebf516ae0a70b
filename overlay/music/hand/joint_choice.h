#pragma once
#include <cstddef>
#include <cstdint>
#include <vector>

namespace tabard::overlay {

/// Several things that each need one of a few options, where an option costs by itself and beside its neighbours'.
struct JointChoice {
    struct Pair {
        std::size_t a = 0;
        std::size_t b = 0;
        std::vector<std::vector<std::int64_t>> cost; ///< [option of a][option of b]
    };
    std::vector<std::vector<std::int64_t>> own; ///< [thing][option]; each thing has an option at least
    std::vector<Pair> pairs;                    ///< of two different things

    std::int64_t cost_of(std::vector<std::size_t> const& options) const;
};

/// The option of each thing so that the sum of all costs is least; of equal sums the one whose first things have the
/// lower option. Exact within a fixed number of steps, which few things never need; beyond it a choice that no single
/// other option makes cheaper. The same input always gives the same answer.
std::vector<std::size_t> least_cost(JointChoice const& choice);

} // namespace tabard::overlay
