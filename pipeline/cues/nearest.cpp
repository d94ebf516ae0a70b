#include "pipeline/cues/nearest.h"

#include <algorithm>
#include <cctype>
#include <vector>

namespace tabard::pipeline {
namespace {

char lower(char c) { return static_cast<char>(std::tolower(static_cast<unsigned char>(c))); }

std::size_t edits(std::string_view a, std::string_view b)
{
    std::vector<std::vector<std::size_t>> cost(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
    for (std::size_t i = 0; i <= a.size(); ++i) {
        for (std::size_t j = 0; j <= b.size(); ++j) {
            if (i == 0 || j == 0) {
                cost[i][j] = i + j;
                continue;
            }
            bool const same = lower(a[i - 1]) == lower(b[j - 1]);
            cost[i][j] = std::min({cost[i - 1][j] + 1, cost[i][j - 1] + 1, cost[i - 1][j - 1] + (same ? 0 : 1)});
            bool const swapped =
                i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) && lower(a[i - 2]) == lower(b[j - 1]);
            if (swapped)
                cost[i][j] = std::min(cost[i][j], cost[i - 2][j - 2] + 1);
        }
    }
    return cost[a.size()][b.size()];
}

} // namespace

std::optional<std::string> nearest(std::string_view word, std::span<std::string_view const> candidates)
{
    constexpr std::size_t kLongestWord = 64;
    if (word.size() > kLongestWord)
        return std::nullopt;
    std::optional<std::string> best;
    std::size_t fewest = std::max<std::size_t>(2, word.size() / 3) + 1;
    for (std::string_view const candidate : candidates) {
        if (candidate.size() > kLongestWord)
            continue;
        std::size_t const count = edits(word, candidate);
        if (count < fewest && count < candidate.size()) {
            fewest = count;
            best = candidate;
        }
    }
    return best;
}

} // namespace tabard::pipeline
