#include "pipeline/match/shared_lines.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <map>

namespace tabard::pipeline {

namespace {

constexpr std::size_t kWindow = 166;   ///< frames that are looked for together: 2 s
constexpr std::size_t kWindowHop = 83; ///< frames
constexpr std::size_t kMostPlaces = 4; ///< of a window
constexpr float kLeastAlike = 0.2F;    ///< likeness of a window: chance stays below, music over it does not

constexpr float kClearChance = 0.36F;  ///< share of wrong bits between what is the same and what is not
constexpr float kVeiledChance = 0.43F; ///< the same at most where other sound lies over the film
constexpr float kSwitchCost = 2.2F;    ///< a step of clear sameness is worth up to 0.36
constexpr std::ptrdiff_t kMean = 10;   ///< frames on each side over which bit errors are averaged: 0.25 s together

SoundFingerprint part_of(SoundFingerprint const& sound, std::size_t first, std::size_t frames)
{
    auto const from = static_cast<std::ptrdiff_t>(first);
    auto const to = static_cast<std::ptrdiff_t>(std::min(first + frames, sound.words.size()));
    return {{sound.words.begin() + from, sound.words.begin() + to},
            {sound.quiet.begin() + from, sound.quiet.begin() + to}};
}

/// bit_error() averaged, a frame of the reading.
std::vector<float> mean_errors(SoundFingerprint const& before, SoundFingerprint const& reading, int shift)
{
    auto const size = std::ssize(reading.words);
    std::vector<float> sums(reading.words.size() + 1);
    for (std::ptrdiff_t n = 0; n < size; ++n)
        sums[static_cast<std::size_t>(n) + 1] =
            sums[static_cast<std::size_t>(n)] + bit_error(before, reading, n, shift);
    std::vector<float> errors(reading.words.size());
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
float weight(SoundFingerprint const& before, SoundFingerprint const& reading, std::size_t frame, int shift)
{
    auto const old = static_cast<std::ptrdiff_t>(frame) - shift;
    bool const old_sounds =
        old >= 0 && old < std::ssize(before.quiet) && before.quiet[static_cast<std::size_t>(old)] == 0;
    return reading.quiet[frame] != 0 && !old_sounds ? 0.1F : 1.0F;
}

/// How well each line fits each step.
struct Fits {
    std::vector<std::vector<float>> errors;  ///< a line, a step
    std::vector<std::vector<float>> weights; ///< the same
    std::size_t steps = 0;

    float gain(std::size_t line, std::size_t step, float chance) const
    {
        return (chance - errors[line][step]) * weights[line][step];
    }
};

Fits fits_of(SoundFingerprint const& before, std::vector<SoundReading> const& readings,
             std::vector<SharedLine> const& lines, double new_length)
{
    Fits fits;
    fits.steps = static_cast<std::size_t>(new_length / kLineStep) + 1;
    for (SharedLine const& line : lines) {
        SoundReading const& reading = readings[line.reading];
        auto const errors = mean_errors(before, reading.print, line.shift);
        auto& line_errors = fits.errors.emplace_back(fits.steps);
        auto& line_weights = fits.weights.emplace_back(fits.steps);
        double const frames_a_step = kLineStep * reading.playback.speed / kFingerprintStep;
        for (std::size_t step = 0; step < fits.steps; ++step) {
            auto const frame = std::min(static_cast<std::size_t>((static_cast<double>(step) + 0.5) * frames_a_step),
                                        errors.size() - 1);
            line_errors[step] = errors[frame];
            line_weights[step] = weight(before, reading.print, frame, line.shift);
        }
    }
    return fits;
}

LinePath likeliest(Fits const& fits, float chance)
{
    std::size_t const lines = fits.errors.size();
    std::size_t const states = lines + 1; // the last is new material
    std::vector<float> scores(states, -kSwitchCost);
    scores[lines] = 0;
    std::vector<std::vector<std::uint8_t>> switched(fits.steps, std::vector<std::uint8_t>(states));
    std::vector<std::size_t> leaders(fits.steps);
    for (std::size_t step = 0; step < fits.steps; ++step) {
        auto const leader = static_cast<std::size_t>(std::ranges::max_element(scores) - scores.begin());
        leaders[step] = leader;
        float const entry = scores[leader] - kSwitchCost;
        for (std::size_t state = 0; state < states; ++state) {
            switched[step][state] = scores[state] < entry;
            scores[state] = std::max(scores[state], entry) + (state < lines ? fits.gain(state, step, chance) : 0.0F);
        }
    }
    LinePath path;
    path.choices.assign(fits.steps, LinePath::kNew);
    path.runners_up.assign(fits.steps, LinePath::kNew);
    auto state = static_cast<std::size_t>(std::ranges::max_element(scores) - scores.begin());
    for (std::size_t step = fits.steps; step-- > 0;) {
        if (state < lines) {
            path.choices[step] = static_cast<int>(state);
            float const gain = fits.gain(state, step, chance);
            for (std::size_t other = 0; other < lines; ++other) {
                float const rival = fits.gain(other, step, chance);
                if (other != state && rival > gain - 0.03F && rival > 0.05F)
                    path.runners_up[step] = static_cast<int>(other);
            }
        }
        if (switched[step][state])
            state = leaders[step];
    }
    return path;
}

/// The middle of the errors along a path; 0 where it has no line.
float usual_error(Fits const& fits, LinePath const& path)
{
    std::vector<float> errors;
    for (std::size_t step = 0; step < fits.steps; ++step) {
        if (path.choices[step] != LinePath::kNew)
            errors.push_back(fits.errors[static_cast<std::size_t>(path.choices[step])][step]);
    }
    if (errors.empty())
        return 0;
    auto const middle = errors.begin() + std::ssize(errors) / 2;
    std::nth_element(errors.begin(), middle, errors.end());
    return *middle;
}

} // namespace

float bit_error(SoundFingerprint const& before, SoundFingerprint const& reading, std::ptrdiff_t frame, int shift)
{
    std::ptrdiff_t const old = frame - shift;
    if (old < 0 || old >= std::ssize(before.words))
        return 0.5F;
    auto const wrong =
        std::popcount(reading.words[static_cast<std::size_t>(frame)] ^ before.words[static_cast<std::size_t>(old)]);
    return static_cast<float>(wrong) / 32;
}

std::vector<int> shared_shifts(PrintSearch& before, SoundFingerprint const& reading, std::size_t most)
{
    std::map<int, float> evidence;
    for (std::size_t first = 0; first < reading.words.size(); first += kWindowHop) {
        auto const window = part_of(reading, first, kWindow);
        if (2 * std::ranges::count(window.quiet, std::uint8_t{0}) < std::ssize(window.quiet) / 2)
            continue;
        for (PrintSearch::Place const& place : before.find(window, kMostPlaces, kLeastAlike))
            evidence[static_cast<int>(static_cast<std::ptrdiff_t>(first) - place.frame)] +=
                place.likeness * place.likeness;
    }
    std::vector<std::pair<float, int>> ranked; ///< evidence, shift
    for (auto const& [shift, weight] : evidence)
        ranked.emplace_back(weight, shift);
    std::ranges::sort(ranked, std::greater{});
    std::vector<int> shifts;
    for (auto const& [weight, shift] : ranked) {
        // Neighbouring shifts are the same piece: its true offset is measured later.
        bool const known = std::ranges::any_of(shifts, [&, s = shift](int other) { return std::abs(other - s) <= 1; });
        if (!known && shifts.size() < most)
            shifts.push_back(shift);
    }
    return shifts;
}

LinePath follow_lines(SoundFingerprint const& before, std::vector<SoundReading> const& readings,
                      std::vector<SharedLine> const& lines, double new_length)
{
    constexpr int kMostRounds = 3;
    auto const fits = fits_of(before, readings, lines, new_length);
    float chance = kClearChance;
    auto path = likeliest(fits, chance);
    for (int round = 0; round < kMostRounds; ++round) {
        float const wanted = std::clamp(0.5F * (usual_error(fits, path) + 0.5F), kClearChance, kVeiledChance);
        if (wanted < chance + 0.005F)
            break;
        chance = wanted;
        path = likeliest(fits, chance);
    }
    return path;
}

} // namespace tabard::pipeline
