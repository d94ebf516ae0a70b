#include "pipeline/check/picture/lively.h"

#include <algorithm>
#include <cstdint>

namespace tabard::pipeline {
namespace {

constexpr Time kSecond{kFlicksPerSecond};
constexpr Time kRoom{kFlicksPerSecond / 4};
constexpr Time kKeyframesApart{kFlicksPerSecond / 2};
// More than three flashes are seven changes; an encoder that finds each state among earlier pictures pays for half of
// them at most. (Our own limits: no published source.)
constexpr std::size_t kLeastLarge = 3;
constexpr std::int64_t kTimesTheMedian = 3;

// Of pictures between keyframes; none where all are keyframes.
std::int64_t median_bytes(std::vector<CodedSize> const& coded)
{
    std::vector<std::int64_t> sizes;
    for (CodedSize const& picture : coded)
        if (!picture.key)
            sizes.push_back(picture.bytes);
    if (sizes.empty())
        return 0;
    auto const middle = sizes.begin() + std::ssize(sizes) / 2;
    std::ranges::nth_element(sizes, middle);
    return *middle;
}

std::vector<Time> large_pictures(std::vector<CodedSize> const& coded)
{
    std::vector<Time> large;
    std::int64_t const least = kTimesTheMedian * median_bytes(coded);
    Time last_key = -kSecond;
    for (CodedSize const& picture : coded) {
        bool const counts = !picture.key || picture.shown - last_key < kKeyframesApart;
        if (picture.key)
            last_key = picture.shown;
        if (counts && least > 0 && picture.bytes > least)
            large.push_back(picture.shown);
    }
    return large;
}

} // namespace

std::vector<FilmSpan> lively_stretches(std::vector<CodedSize> coded)
{
    std::ranges::sort(coded, {}, &CodedSize::shown);
    std::vector<Time> const large = large_pictures(coded);
    struct Stretch {
        std::size_t count;
        FilmSpan span;
    };
    std::vector<Stretch> found;
    for (std::size_t first = 0; first < large.size();) {
        std::size_t after = first;
        while (after < large.size() && large[after] - large[first] < kSecond)
            ++after;
        if (after - first >= kLeastLarge) {
            found.push_back({after - first, {large[first] - kRoom, large[first] + kSecond + kRoom}});
            first = after;
        } else {
            ++first;
        }
    }
    std::ranges::stable_sort(found, std::greater<>{}, &Stretch::count);
    std::vector<FilmSpan> spans;
    for (Stretch const& stretch : found)
        spans.push_back(stretch.span);
    return spans;
}

} // namespace tabard::pipeline
