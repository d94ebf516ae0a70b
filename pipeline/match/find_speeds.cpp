#include "pipeline/match/find_speeds.h"

#include "pipeline/sound/short_time_spectrum.h"

#include <algorithm>
#include <cmath>

namespace tabard::pipeline {

namespace {

constexpr double kGrid = 1.015;      ///< between speeds that are tried
constexpr int kMostSteps = 49;       ///< of the grid, up and down: 0.48 to 2.07
constexpr double kFineGrid = 1.0025; ///< around the best of them
constexpr int kMostFineSteps = 6;
constexpr int kMostGrids = 12;      ///< windows for which the whole grid is tried
constexpr float kChance = 0.3F;     ///< likeness below which a place may be chance
constexpr float kSure = 0.42F;      ///< likeness that needs no second witness
constexpr double kSame = 0.006;     ///< share by which two found speeds may differ and be one
constexpr double kNoSpeed = 0.0005; ///< share nearer than which a speed is 1

/// A window of the new sound whose fingerprint can be taken as if it had been played at any speed.
class Probe {
public:
    Probe(std::span<float const> sound, double from) : m_spectrum(kPoints)
    {
        for (double time = from - kMargin; time <= from + kSpeedWindow; time += kFrameStep) {
            auto const magnitudes = m_spectrum.magnitudes(sound, std::lround(time * kMatchRate));
            auto& sums = m_sums.emplace_back(magnitudes.size() + 1);
            for (std::size_t bin = 0; bin < magnitudes.size(); ++bin)
                sums[bin + 1] = sums[bin] + magnitudes[bin];
        }
    }

    /// Of the window's first `seconds`.
    SoundFingerprint print(Playback playback, double seconds) const
    {
        double const pitch = playback.pitch_kept ? 1 : playback.speed;
        std::vector<FingerprintBands> bands;
        for (auto const& sums : m_sums)
            bands.push_back(bands_of(sums, pitch));
        SoundFingerprint print;
        double const step = kFingerprintStep / playback.speed;
        for (double time = 0; time < seconds && print.words.size() < PrintSearch::kLongest; time += step)
            print.words.push_back(
                fingerprint_word(at(bands, time), at(bands, time - static_cast<double>(kFingerprintLag) * step)));
        print.quiet.assign(print.words.size(), 0);
        return print;
    }

private:
    static constexpr int kPoints = 4096; ///< at kMatchRate as long as a fingerprint's frame
    static constexpr double kMargin = 0.12;
    static constexpr double kFrameStep = 0.012;

    static FingerprintBands bands_of(std::vector<float> const& sums, double pitch)
    {
        auto const up_to = [&](double hertz) {
            double const bin = std::min(hertz * pitch * kPoints / kMatchRate, static_cast<double>(sums.size()) - 2);
            auto const whole = static_cast<std::size_t>(bin);
            return std::lerp(sums[whole], sums[whole + 1], static_cast<float>(bin - static_cast<double>(whole)));
        };
        FingerprintBands bands{};
        auto const& edges = fingerprint_edges();
        for (std::size_t band = 0; band < bands.size(); ++band)
            bands[band] = std::log(1e-7F + up_to(edges[band + 1]) - up_to(edges[band]));
        return bands;
    }

    static FingerprintBands at(std::vector<FingerprintBands> const& bands, double time)
    {
        double const place = std::clamp((time + kMargin) / kFrameStep, 0.0, static_cast<double>(bands.size()) - 1.001);
        auto const whole = static_cast<std::size_t>(place);
        auto const share = static_cast<float>(place - static_cast<double>(whole));
        FingerprintBands result{};
        for (std::size_t band = 0; band < result.size(); ++band)
            result[band] = std::lerp(bands[whole][band], bands[whole + 1][band], share);
        return result;
    }

    ShortTimeSpectrum m_spectrum;
    std::vector<std::vector<float>> m_sums; ///< of the magnitudes below each bin, a frame
};

struct Candidate {
    Playback playback;
    float likeness = 0;
};

/// Speeds found, those of one kind together.
struct Group {
    std::vector<Candidate> found;
    float evidence = 0;
};

Candidate best_of(PrintSearch& before, Probe const& probe, std::vector<Playback> const& playbacks)
{
    Candidate best;
    for (Playback const& playback : playbacks) {
        auto const places = before.find(probe.print(playback, kSpeedWindow), 1, kChance / 2);
        if (!places.empty() && places.front().likeness > best.likeness)
            best = {playback, places.front().likeness};
    }
    return best;
}

std::vector<Playback> around(Playback middle)
{
    std::vector<Playback> playbacks;
    for (int step = -kMostFineSteps; step <= kMostFineSteps; ++step)
        playbacks.push_back({middle.speed * std::pow(kFineGrid, step), middle.pitch_kept});
    return playbacks;
}

std::vector<Playback> whole_grid()
{
    std::vector<Playback> playbacks;
    for (int step = -kMostSteps; step <= kMostSteps; ++step) {
        playbacks.push_back({std::pow(kGrid, step), false});
        playbacks.push_back({std::pow(kGrid, step), true});
    }
    return playbacks;
}

/// The best speed of one window. What was found elsewhere is tried first, for the whole grid takes long.
Candidate best_speed(PrintSearch& before, Probe const& probe, std::vector<Group> const& known, int& grids)
{
    for (Group const& group : known) {
        auto const again = best_of(before, probe, around(group.found.front().playback));
        if (again.likeness >= kSure)
            return again;
    }
    if (grids == kMostGrids)
        return {};
    ++grids;
    return best_of(before, probe, around(best_of(before, probe, whole_grid()).playback));
}

} // namespace

std::vector<Playback> find_speeds(PrintSearch& before, std::span<float const> after, std::vector<double> const& starts,
                                  std::size_t most)
{
    std::vector<Group> groups;
    int grids = 0;
    for (double const start : starts) {
        auto const best = best_speed(before, Probe(after, start), groups, grids);
        if (best.likeness < kChance || std::abs(best.playback.speed - 1) < kNoSpeed)
            continue;
        auto const group = std::ranges::find_if(groups, [&](Group const& known) {
            auto const& first = known.found.front().playback;
            return first.pitch_kept == best.playback.pitch_kept &&
                   std::abs(first.speed - best.playback.speed) < kSame * first.speed;
        });
        Group& home = group != groups.end() ? *group : groups.emplace_back();
        home.found.push_back(best);
        home.evidence += best.likeness;
    }
    std::erase_if(groups, [](Group const& group) { return group.found.size() < 2 && group.evidence < kSure; });
    std::ranges::sort(groups, std::greater{}, &Group::evidence);
    groups.resize(std::min(groups.size(), most));
    std::vector<Playback> speeds;
    for (Group& group : groups) {
        auto const middle = group.found.begin() + std::ssize(group.found) / 2;
        std::ranges::nth_element(group.found, middle, {}, [](Candidate const& one) { return one.playback.speed; });
        speeds.push_back(middle->playback);
    }
    return speeds;
}

} // namespace tabard::pipeline
