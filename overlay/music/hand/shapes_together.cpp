#include "overlay/music/hand/shapes_together.h"

#include "overlay/music/hand/joint_choice.h"
#include "overlay/music/hand/movement.h"

#include <cmath>
#include <map>
#include <utility>

namespace tabard::overlay {
namespace {

constexpr double kMovementPerCost = 3; ///< one finger more in a shape weighs less than one that has to move

using Changes = std::map<std::pair<std::size_t, std::size_t>, int>; ///< from one chord to another: how often

Changes changes_of(SongForHand const& song)
{
    Changes changes;
    for (auto const& part : song.parts)
        for (std::size_t i = 0; i < part.size(); ++i) {
            auto const from = part[i];
            auto const to = part[(i + 1) % part.size()];
            if (from != to && from != SongForHand::kRest && to != SongForHand::kRest)
                ++changes[{from, to}];
        }
    return changes;
}

std::vector<std::vector<std::int64_t>> own_costs(SongForHand const& song)
{
    std::vector<int> played(song.chords.size(), 0);
    for (auto const& part : song.parts)
        for (auto const chord : part)
            if (chord != SongForHand::kRest)
                ++played[chord];
    std::vector<std::vector<std::int64_t>> costs;
    for (std::size_t i = 0; i < song.chords.size(); ++i) {
        auto& of_chord = costs.emplace_back();
        for (auto const& option : song.chords[i])
            of_chord.push_back(played[i] *
                               std::llround(kMovementPerCost * (option.cost - song.chords[i].front().cost)));
    }
    return costs;
}

JointChoice choice_of(SongForHand const& song, Changes const& changes)
{
    JointChoice choice{own_costs(song), {}};
    std::vector<std::vector<std::vector<Hold>>> holds;
    for (auto const& options : song.chords) {
        auto& of_chord = holds.emplace_back();
        for (auto const& option : options)
            of_chord.push_back(holds_of(option.shape));
    }
    for (auto const& [change, times] : changes) {
        auto const& [from, to] = change;
        JointChoice::Pair pair{from, to, {}};
        for (auto const& before : holds[from]) {
            auto& row = pair.cost.emplace_back();
            for (auto const& after : holds[to])
                row.push_back(std::int64_t{times} * movement_cost(before, after));
        }
        choice.pairs.push_back(std::move(pair));
    }
    return choice;
}

/// Of the neighbours of a chord the one for which its shape saves most against the first.
std::optional<std::size_t> helped_neighbour(JointChoice const& choice, std::vector<std::size_t> const& options,
                                            std::size_t chord)
{
    std::map<std::size_t, std::int64_t> saved;
    for (auto const& pair : choice.pairs) {
        if (pair.a != chord && pair.b != chord)
            continue;
        auto const& row = pair.cost[pair.a == chord ? 0 : options[pair.a]];
        saved[pair.a == chord ? pair.b : pair.a] +=
            row[pair.b == chord ? 0 : options[pair.b]] - pair.cost[options[pair.a]][options[pair.b]];
    }
    std::optional<std::size_t> most;
    for (auto const& [neighbour, saving] : saved)
        if (saving > 0 && (!most || saving > saved[*most]))
            most = neighbour;
    return most;
}

} // namespace

std::vector<ChosenShape> shapes_together(SongForHand const& song)
{
    auto const choice = choice_of(song, changes_of(song));
    auto const options = least_cost(choice);
    std::vector<ChosenShape> chosen;
    for (std::size_t i = 0; i < options.size(); ++i) {
        ChosenShape one{options[i], std::nullopt, ""};
        if (options[i] > 0)
            one.beside = helped_neighbour(choice, options, i);
        if (one.beside)
            one.moves =
                moves_text(song.chords[*one.beside][options[*one.beside]].shape, song.chords[i][options[i]].shape);
        chosen.push_back(std::move(one));
    }
    return chosen;
}

} // namespace tabard::overlay
