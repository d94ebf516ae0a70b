#include "tests/support/performance/recut.h"

#include "tests/support/performance/conditions.h"
#include "tests/support/performance/guitars.h"
#include "tests/support/performance/room.h"
#include "tests/support/performance/treatment.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
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

std::vector<float> invented_music(double seconds, std::uint32_t seed)
{
    static auto guitar = sound_font_guitars().back();
    Condition condition{.name = "music", .manner = {.gap = 0.5, .capo = 3}, .reverb_seconds = 1};
    condition.manner.parts = static_cast<int>(seconds / 12) + 2;
    auto sound = at_match_rate(perform(condition, guitar, seed + 70'000).sound);
    sound.resize(static_cast<std::size_t>(seconds * pipeline::kMatchRate));
    return sound;
}

std::vector<float> recut(std::vector<float> const& film, std::vector<CutPiece> const& cut, std::uint32_t seed,
                         double gain)
{
    constexpr int kRate = pipeline::kMatchRate;
    std::vector<float> result;
    for (CutPiece const& piece : cut) {
        auto const fresh = piece.is_new() ? lesson_sound(piece.length() * piece.playback.speed + 1, seed + 1000)
                                          : std::vector<float>();
        auto const& source = piece.is_new() ? fresh : film;
        auto const first = std::lround(std::max(piece.from, 0.0) * kRate);
        std::vector<float> stretch(source.begin() + first,
                                   source.begin() + first + std::lround(piece.length() * piece.playback.speed * kRate));
        if (piece.playback.speed != 1)
            stretch = played(stretch, piece.playback, std::filesystem::temp_directory_path());
        stretch.resize(static_cast<std::size_t>(std::lround(piece.length() * kRate)));
        result.insert(result.end(), stretch.begin(), stretch.end());
    }
    for (float& sample : result)
        sample *= static_cast<float>(gain);
    add_noise(result, 55, seed);
    return result;
}

std::vector<CutPiece> at_speed(std::vector<CutPiece> cut, pipeline::Playback playback)
{
    for (CutPiece& piece : cut) {
        piece.playback.speed *= playback.speed;
        piece.playback.pitch_kept = piece.playback.pitch_kept || playback.pitch_kept;
    }
    return cut;
}

void RecutScore::add(std::vector<CutPiece> const& written, std::vector<pipeline::MatchedPiece> const& matched)
{
    constexpr double kNear = 0.06; // seconds: more is another place
    // Pieces that go straight on in the old film are one piece.
    std::vector<CutPiece> cut;
    for (CutPiece const& piece : written) {
        if (!cut.empty() && !piece.is_new() && !cut.back().is_new() && piece.from == cut.back().to &&
            piece.playback == cut.back().playback)
            cut.back().to = piece.to;
        else
            cut.push_back(piece);
    }
    std::vector<bool> used(matched.size());
    std::vector<double> late;  // of each piece that was found
    std::vector<double> edges; // where they begin and end, against the truth
    double at = 0;
    for (CutPiece const& piece : cut) {
        double const from = at;
        at += piece.length();
        if (piece.is_new())
            continue;
        kept += piece.length();
        bool hit = false;
        for (std::size_t n = 0; n < matched.size(); ++n) {
            double const first = std::max(matched[n].from, from);
            double const last = std::min(matched[n].to, at);
            double const old = piece.from + (0.5 * (first + last) - from) * piece.playback.speed;
            double const error = (old - matched[n].old_time(0.5 * (first + last))) / piece.playback.speed;
            if (last - first < 0.25 || std::abs(error) > kNear)
                continue;
            covered += last - first;
            used[n] = used[n] || last - first > 0.5 * matched[n].length();
            if (last - first < 0.5 * piece.length())
                continue;
            hit = true;
            late.push_back(error);
            edges.push_back(matched[n].from - from);
            edges.push_back(matched[n].to - at);
            speed_errors.push_back(std::abs(matched[n].playback.speed / piece.playback.speed - 1));
        }
        if (piece.length() >= 3) {
            ++pieces;
            found += hit;
        }
    }
    for (std::size_t n = 0; n < matched.size(); ++n)
        strange += used[n] ? 0 : matched[n].length();
    made += static_cast<int>(matched.size());
    wrong += static_cast<int>(std::ranges::count(used, false));
    if (late.empty())
        return;
    auto sorted = late;
    std::ranges::sort(sorted);
    double const delay = sorted[sorted.size() / 2];
    delays.push_back(delay);
    for (double const one : late)
        offset_errors.push_back(std::abs(one - delay));
    for (double const one : edges)
        boundary_errors.push_back(std::abs(one - delay));
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
