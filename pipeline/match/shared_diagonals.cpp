#include "pipeline/match/shared_diagonals.h"

#include <algorithm>
#include <bit>
#include <map>
#include <unordered_map>

namespace tabard::pipeline {

namespace {

constexpr std::size_t kCrowded = 60; ///< places of one word beyond which it says nothing
constexpr int kWindow = 125;         ///< frames in which votes are counted together: 1.5 s
constexpr int kFewestVotes = 3;
constexpr float kChance = 0.36F;     ///< share of wrong bits between what is the same and what is not
constexpr float kSwitchCost = 2.2F;  ///< a step of clear sameness is worth up to 0.36
constexpr std::ptrdiff_t kMean = 10; ///< frames on each side over which bit errors are averaged: 0.25 s together

/// Old frames by their word, sorted so that a look-up is a binary search.
class WordIndex {
public:
    explicit WordIndex(SoundFingerprint const& sound)
    {
        for (std::size_t n = 0; n < sound.words.size(); ++n) {
            if (!sound.quiet[n])
                m_places[sound.words[n]].push_back(static_cast<int>(n));
        }
    }
    template <class Visit>
    void near(std::uint32_t word, Visit const& visit) const
    {
        look_up(word, visit);
        for (int bit = 0; bit < 32; ++bit)
            look_up(word ^ (1U << bit), visit);
    }

private:
    template <class Visit>
    void look_up(std::uint32_t word, Visit const& visit) const
    {
        auto const found = m_places.find(word);
        if (found == m_places.end() || found->second.size() > kCrowded)
            return;
        for (int const place : found->second)
            visit(place);
    }
    std::unordered_map<std::uint32_t, std::vector<int>> m_places;
};

/// Share of bits in which two stretches differ, a frame of the new sound, averaged; 0.5 outside the old sound.
std::vector<float> bit_errors(SoundFingerprint const& before, SoundFingerprint const& after, int shift)
{
    auto const size = std::ssize(after.words);
    std::vector<float> sums(after.words.size() + 1);
    for (std::ptrdiff_t n = 0; n < size; ++n) {
        std::ptrdiff_t const old = n - shift;
        bool const inside = old >= 0 && old < std::ssize(before.words);
        int const wrong =
            inside
                ? std::popcount(after.words[static_cast<std::size_t>(n)] ^ before.words[static_cast<std::size_t>(old)])
                : 16;
        sums[static_cast<std::size_t>(n) + 1] = sums[static_cast<std::size_t>(n)] + static_cast<float>(wrong) / 32;
    }
    std::vector<float> errors(after.words.size());
    for (std::ptrdiff_t n = 0; n < size; ++n) {
        auto const low = std::max<std::ptrdiff_t>(n - kMean, 0);
        auto const high = std::min(n + kMean + 1, size);
        errors[static_cast<std::size_t>(n)] =
            (sums[static_cast<std::size_t>(high)] - sums[static_cast<std::size_t>(low)]) /
            static_cast<float>(high - low);
    }
    return errors;
}

/// Silence against silence says little. Silence against sound says much: it is no piece of the old film.
float weight(SoundFingerprint const& before, SoundFingerprint const& after, std::size_t frame, int shift)
{
    auto const old = static_cast<std::ptrdiff_t>(frame) - shift;
    bool const old_sounds =
        old >= 0 && old < std::ssize(before.quiet) && before.quiet[static_cast<std::size_t>(old)] == 0;
    return after.quiet[frame] != 0 && !old_sounds ? 0.1F : 1.0F;
}

} // namespace

std::vector<int> shared_diagonals(SoundFingerprint const& before, SoundFingerprint const& after, std::size_t most)
{
    WordIndex const index(before);
    std::map<int, int> totals; ///< clear votes, a shift
    std::unordered_map<int, int> votes;
    auto const close_window = [&] {
        for (auto const& [shift, count] : votes) {
            auto const at = [&](int other) {
                auto const found = votes.find(other);
                return found == votes.end() ? 0 : found->second;
            };
            int const together = count + at(shift - 1) + at(shift + 1);
            if (together >= kFewestVotes && count >= at(shift - 1) && count > at(shift + 1))
                totals[shift] += together;
        }
        votes.clear();
    };
    for (std::size_t n = 0; n < after.words.size(); n += 2) {
        if (n % kWindow < 2)
            close_window();
        if (!after.quiet[n])
            index.near(after.words[n], [&](int old) { ++votes[static_cast<int>(n) - old]; });
    }
    close_window();
    std::vector<std::pair<int, int>> ranked; ///< votes, shift
    for (auto const& [shift, count] : totals)
        ranked.emplace_back(count, shift);
    std::ranges::sort(ranked, std::greater{});
    std::vector<int> diagonals;
    for (auto const& [count, shift] : ranked) {
        // Neighbouring shifts are the same piece: its true offset is measured later.
        bool const known =
            std::ranges::any_of(diagonals, [&, s = shift](int other) { return std::abs(other - s) <= 1; });
        if (!known && diagonals.size() < most)
            diagonals.push_back(shift);
    }
    return diagonals;
}

DiagonalPath follow_diagonals(SoundFingerprint const& before, SoundFingerprint const& after,
                              std::vector<int> const& diagonals)
{
    DiagonalPath path;
    auto const steps = after.words.size() / static_cast<std::size_t>(path.step_frames) + 1;
    std::size_t const states = diagonals.size() + 1; // the last is new material
    std::vector<std::vector<float>> gains(diagonals.size(), std::vector<float>(steps));
    for (std::size_t d = 0; d < diagonals.size(); ++d) {
        auto const errors = bit_errors(before, after, diagonals[d]);
        for (std::size_t step = 0; step < steps; ++step) {
            auto const frame = std::min(step * static_cast<std::size_t>(path.step_frames) + 2, errors.size() - 1);
            gains[d][step] = (kChance - errors[frame]) * weight(before, after, frame, diagonals[d]);
        }
    }
    std::vector<float> scores(states, -kSwitchCost);
    scores[diagonals.size()] = 0;
    std::vector<std::vector<std::uint8_t>> switched(steps, std::vector<std::uint8_t>(states));
    std::vector<std::size_t> leaders(steps);
    for (std::size_t step = 0; step < steps; ++step) {
        auto const leader = static_cast<std::size_t>(std::ranges::max_element(scores) - scores.begin());
        leaders[step] = leader;
        float const entry = scores[leader] - kSwitchCost;
        for (std::size_t state = 0; state < states; ++state) {
            switched[step][state] = scores[state] < entry;
            scores[state] = std::max(scores[state], entry) + (state < diagonals.size() ? gains[state][step] : 0.0F);
        }
    }
    path.choices.assign(steps, DiagonalPath::kNew);
    path.runners_up.assign(steps, DiagonalPath::kNew);
    auto state = static_cast<std::size_t>(std::ranges::max_element(scores) - scores.begin());
    for (std::size_t step = steps; step-- > 0;) {
        if (state < diagonals.size()) {
            path.choices[step] = static_cast<int>(state);
            for (std::size_t other = 0; other < diagonals.size(); ++other) {
                if (other != state && gains[other][step] > gains[state][step] - 0.03F && gains[other][step] > 0.05F)
                    path.runners_up[step] = static_cast<int>(other);
            }
        }
        if (switched[step][state])
            state = leaders[step];
    }
    return path;
}

} // namespace tabard::pipeline
