#include "overlay/base/nearest.h"

#include <algorithm>

namespace tabard {

std::size_t edit_distance(std::string_view a, std::string_view b)
{
    // Rows of the usual table; `before_last` serves the swap of two neighbours.
    std::vector<std::size_t> before_last(b.size() + 1);
    std::vector<std::size_t> last(b.size() + 1);
    std::vector<std::size_t> row(b.size() + 1);
    for (std::size_t j = 0; j <= b.size(); ++j)
        row[j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        before_last.swap(last);
        last.swap(row);
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            row[j] = std::min({last[j] + 1, row[j - 1] + 1, last[j - 1] + (a[i - 1] == b[j - 1] ? 0u : 1u)});
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                row[j] = std::min(row[j], before_last[j - 2] + 1);
        }
    }
    return row[b.size()];
}

std::optional<std::string_view> nearest(std::string_view word, std::vector<std::string_view> const& candidates)
{
    constexpr std::size_t kFarthest = 2;
    std::optional<std::string_view> best;
    std::size_t best_distance = std::min(kFarthest + 1, std::max<std::size_t>(word.size(), 1));
    for (auto const candidate : candidates) {
        auto const missing = std::max(word.size(), candidate.size()) - std::min(word.size(), candidate.size());
        if (missing >= best_distance)
            continue;
        auto const distance = edit_distance(word, candidate);
        if (distance < best_distance) {
            best = candidate;
            best_distance = distance;
        }
    }
    return best;
}

} // namespace tabard
