#include "pipeline/check/rules/rules.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

// EBU R 128 asks for -23.0 LUFS; platforms on the web turn loud films down to about -14. What lies a good way outside
// both is worth a word.
constexpr double kQuiet = -31;
constexpr double kLoud = -9;
/// EBU R 128: the most a true peak may reach.
constexpr double kPeak = -1;

std::vector<Finding> find(CheckInput const& input)
{
    if (!input.film || !input.film->loudness)
        return {};
    Loudness const loudness = *input.film->loudness;
    auto const report = [&](std::string what, std::string fix) {
        return std::vector{kLoudness.at(input.lesson.footage.at, std::nullopt, std::move(what), std::move(fix))};
    };
    if (loudness.integrated_lufs < kQuiet)
        return report(
            fmt::format("the sound is quiet: {:.1f} LUFS", loudness.integrated_lufs),
            "bring it up to about -23 to -14 LUFS, or learners will turn up and be startled by what comes next");
    if (loudness.integrated_lufs > kLoud)
        return report(fmt::format("the sound is very loud: {:.1f} LUFS", loudness.integrated_lufs),
                      "bring it down to about -14 LUFS or less, to spare ears and headphones");
    if (loudness.true_peak_dbtp > kPeak)
        return report(fmt::format("the sound peaks at {:.1f} dBTP", loudness.true_peak_dbtp),
                      "bring the peaks below -1 dBTP: above it players and encoders clip");
    return {};
}

} // namespace

Rule const kLoudness{
    "loudness", Severity::advice, "sound that is much too quiet or too loud",
    "Measured over the whole film after EBU R 128 (ITU-R BS.1770): below -31 LUFS, above -9 LUFS, or true "
    "peaks above -1 dBTP. Tabard copies the sound as it is and does not change it.",
    find};

} // namespace tabard::pipeline
