#include "pipeline/listen/chord_changes.h"

#include "pipeline/listen/chord_evidence.h"
#include "pipeline/listen/chord_template.h"

#include <algorithm>
#include <array>
#include <cstdint>

namespace tabard::pipeline {

namespace {

constexpr std::size_t kTriads = 24;
constexpr float kNatsPerFrame = static_cast<float>(kNatsPerSecond * kChromaStep); ///< of likeness
constexpr float kChangeCost = 5;                                                  ///< nats

std::array<Chroma, kTriads> const& triad_templates()
{
    static auto const templates = [] {
        std::array<Chroma, kTriads> made;
        std::ranges::transform(plain_triads(), made.begin(), chord_template);
        return made;
    }();
    return templates;
}

} // namespace

std::vector<double> chord_changes(Hearing const& heard, Stretch stretch)
{
    auto const first = std::min(static_cast<std::size_t>(stretch.from / kChromaStep), heard.chroma.size());
    auto const last = std::min(static_cast<std::size_t>(stretch.to / kChromaStep), heard.chroma.size());
    std::vector<std::array<std::uint8_t, kTriads>> from(last - first);
    std::array<float, kTriads> scores{};
    for (std::size_t n = first; n < last; ++n) {
        auto const best = static_cast<std::uint8_t>(std::ranges::max_element(scores) - scores.begin());
        float const changed = scores[best] - kChangeCost;
        for (std::uint8_t triad = 0; triad < kTriads; ++triad) {
            bool const stays = scores[triad] >= changed;
            from[n - first][triad] = stays ? triad : best;
            scores[triad] = std::max(scores[triad], changed);
            if (!heard.silent[n])
                scores[triad] += kNatsPerFrame * likeness(heard.chroma[n], triad_templates()[triad]);
        }
    }
    std::vector<double> changes;
    auto triad = static_cast<std::uint8_t>(std::ranges::max_element(scores) - scores.begin());
    for (std::size_t n = from.size(); n-- > 0;) {
        auto const before = from[n][triad];
        if (before != triad)
            changes.push_back(static_cast<double>(first + n) * kChromaStep);
        triad = before;
    }
    std::ranges::reverse(changes);
    return changes;
}

} // namespace tabard::pipeline
