#include "pipeline/listen/strokes.h"

#include <algorithm>
#include <span>

namespace tabard::pipeline {

Strokes strokes_of(Hearing const& heard, Stretch stretch)
{
    auto const first = std::min(static_cast<std::size_t>(stretch.from / kNoveltyStep), heard.novelty.size());
    auto const last = std::min(static_cast<std::size_t>(stretch.to / kNoveltyStep), heard.novelty.size());
    auto const novelty = std::span(heard.novelty).subspan(first, last - first);
    Strokes result;
    for (float const value : novelty)
        result.strength.push_back(certainty(value));
    constexpr float kClear = 0.45F;
    for (std::size_t n = 2; n + 2 < novelty.size(); ++n) {
        auto const around = novelty.subspan(n - 2, 5);
        if (result.strength[n] < kClear || novelty[n] < *std::ranges::max_element(around) ||
            (!result.seconds.empty() && static_cast<double>(n) * kNoveltyStep - result.seconds.back() < 0.06))
            continue;
        result.seconds.push_back(static_cast<double>(n) * kNoveltyStep);
        result.weights.push_back(static_cast<double>(novelty[n]));
    }
    return result;
}

} // namespace tabard::pipeline
