#include "overlay/base/nearest_word.h"

#include "overlay/base/small_letters.h"

#include <algorithm>
#include <vector>

namespace tabard {
namespace {

constexpr std::size_t kLongestWord = 64;

bool same(char a, char b) { return small_letter(a) == small_letter(b); }

} // namespace

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
            row[j] = std::min({last[j] + 1, row[j - 1] + 1, last[j - 1] + (same(a[i - 1], b[j - 1]) ? 0U : 1U)});
            if (i > 1 && j > 1 && same(a[i - 1], b[j - 2]) && same(a[i - 2], b[j - 1]))
                row[j] = std::min(row[j], before_last[j - 2] + 1);
        }
    }
    return row[b.size()];
}

std::optional<std::string_view> nearest_word(std::string_view word, std::span<std::string_view const> candidates)
{
    if (word.size() > kLongestWord)
        return std::nullopt;
    std::optional<std::string_view> best;
    std::size_t fewest = std::min(std::max<std::size_t>(2, word.size() / 3) + 1, std::max<std::size_t>(word.size(), 1));
    for (std::string_view const candidate : candidates) {
        auto const [shorter, longer] = std::minmax({word.size(), candidate.size()});
        if (longer - shorter >= fewest)
            continue;
        std::size_t const edits = edit_distance(word, candidate);
        if (edits < fewest) {
            best = candidate;
            fewest = edits;
        }
    }
    return best;
}

} // namespace tabard
