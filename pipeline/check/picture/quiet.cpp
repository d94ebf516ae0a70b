#include "pipeline/check/picture/quiet.h"

#include <algorithm>

namespace tabard::pipeline {
namespace {

constexpr Time kWindow{2 * kFlicksPerSecond / 5}; // a little less than the shortest black that counts
constexpr Time kRoom{kFlicksPerSecond / 5};       // the picture that begins a still is not small itself
/// Of the film's mean. A still picture costs an encoder some dozen bytes, a talking head a hundred times that; a lower
/// limit would rely on how well a camera's encoder does it. (Our own limit: no published source.)
constexpr std::int64_t kQuietPart = 8;

} // namespace

std::vector<FilmSpan> quiet_stretches(std::vector<CodedSize> coded)
{
    std::erase_if(coded, [](CodedSize const& picture) { return picture.key; });
    std::ranges::sort(coded, {}, &CodedSize::shown);
    std::int64_t all = 0;
    for (CodedSize const& picture : coded)
        all += picture.bytes;
    std::vector<FilmSpan> quiet;
    std::int64_t bytes = 0; // of pictures first to last, which are on screen within one window
    std::size_t first = 0;
    for (std::size_t last = 0; last < coded.size(); ++last) {
        bytes += coded[last].bytes;
        while (coded[last].shown - coded[first].shown >= kWindow)
            bytes -= coded[first++].bytes;
        bool const whole_window = first > 0;
        auto const pictures = static_cast<std::int64_t>(last - first + 1);
        if (whole_window && bytes * static_cast<std::int64_t>(coded.size()) * kQuietPart < all * pictures)
            quiet.push_back({coded[first].shown - kRoom, coded[last].shown + kRoom});
    }
    return merged(std::move(quiet));
}

std::vector<FilmSpan> merged(std::vector<FilmSpan> spans)
{
    std::ranges::sort(spans, {}, &FilmSpan::in);
    std::vector<FilmSpan> result;
    for (FilmSpan const& span : spans) {
        if (!result.empty() && span.in <= result.back().out)
            result.back().out = std::max(result.back().out, span.out);
        else
            result.push_back(span);
    }
    return result;
}

} // namespace tabard::pipeline
