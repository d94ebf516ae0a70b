#include "tests/support/performance/recut.h"

#include "tests/support/performance/conditions.h"
#include "tests/support/performance/guitars.h"
#include "tests/support/performance/room.h"

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

namespace tabard::tests {

namespace {

/// From kSampleRate to the matcher's rate, by straight lines: what is lost is lost before the cut.
std::vector<float> at_match_rate(std::vector<float> const& sound)
{
    double const ratio = static_cast<double>(kSampleRate) / pipeline::kMatchRate;
    std::vector<float> result(static_cast<std::size_t>(static_cast<double>(sound.size() - 2) / ratio));
    for (std::size_t n = 0; n < result.size(); ++n) {
        double const at = static_cast<double>(n) * ratio;
        auto const whole = static_cast<std::size_t>(at);
        result[n] = std::lerp(sound[whole], sound[whole + 1], static_cast<float>(at - static_cast<double>(whole)));
    }
    return result;
}

} // namespace

std::vector<float> lesson_sound(double seconds, std::uint32_t seed)
{
    static auto guitar = sound_font_guitars().front();
    Condition condition{.name = "lesson",
                        .manner = {.parts = 4, .gap = 8, .noodle = true},
                        .reverb_seconds = 0.4,
                        .talk_between = true};
    condition.manner.parts = static_cast<int>(seconds / 20) + 2;
    auto sound = at_match_rate(perform(condition, guitar, seed).sound);
    sound.resize(static_cast<std::size_t>(seconds * pipeline::kMatchRate));
    return sound;
}

std::vector<float> recut(std::vector<float> const& film, std::vector<CutPiece> const& cut, std::uint32_t seed,
                         double gain)
{
    constexpr int kRate = pipeline::kMatchRate;
    std::vector<float> result;
    for (CutPiece const& piece : cut) {
        auto const fresh = piece.is_new() ? lesson_sound(piece.length() + 1, seed + 1000) : std::vector<float>();
        auto const& source = piece.is_new() ? fresh : film;
        auto const first = std::lround(std::max(piece.from, 0.0) * kRate);
        result.insert(result.end(), source.begin() + first,
                      source.begin() + first + std::lround(piece.length() * kRate));
    }
    for (float& sample : result)
        sample *= static_cast<float>(gain);
    add_noise(result, 55, seed);
    return result;
}

void RecutScore::add(std::vector<CutPiece> const& written, std::vector<pipeline::MatchedPiece> const& matched)
{
    // Pieces that go straight on in the old film are one piece.
    std::vector<CutPiece> cut;
    for (CutPiece const& piece : written) {
        if (!cut.empty() && !piece.is_new() && !cut.back().is_new() && piece.from == cut.back().to)
            cut.back().to = piece.to;
        else
            cut.push_back(piece);
    }
    std::vector<bool> used(matched.size());
    double at = 0;
    for (CutPiece const& piece : cut) {
        double const from = at;
        at += piece.length();
        if (piece.is_new())
            continue;
        double const offset = from - piece.from;
        bool hit = false;
        for (std::size_t n = 0; n < matched.size(); ++n) {
            double const shared = std::min(matched[n].to, at) - std::max(matched[n].from, from);
            if (shared < 0.5 * piece.length() || std::abs(matched[n].offset - offset) > 0.01)
                continue;
            hit = used[n] = true;
            offset_errors.push_back(std::abs(matched[n].offset - offset));
            boundary_errors.push_back(std::abs(matched[n].from - from));
            boundary_errors.push_back(std::abs(matched[n].to - at));
        }
        if (piece.length() >= 3) {
            ++pieces;
            found += hit;
        }
    }
    wrong += static_cast<int>(std::ranges::count(used, false));
}

double RecutScore::worst_offset() const
{
    return offset_errors.empty() ? INFINITY : *std::ranges::max_element(offset_errors);
}

double RecutScore::boundary_quantile(double share) const
{
    auto sorted = boundary_errors;
    std::ranges::sort(sorted);
    return sorted.empty() ? INFINITY : sorted[static_cast<std::size_t>(share * static_cast<double>(sorted.size() - 1))];
}

} // namespace tabard::tests
