#include "pipeline/media/read/frame_rate.h"

#include "overlay/base/precondition.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace tabard::pipeline {
namespace {

constexpr FrameRate kUsual[] = {{24000, 1001}, {24, 1},       {25, 1}, {30000, 1001}, {30, 1},  {48, 1},
                                {50, 1},       {60000, 1001}, {60, 1}, {90, 1},       {100, 1}, {120000, 1001},
                                {120, 1},      {240, 1},      {15, 1}, {12, 1},       {10, 1},  {20, 1}};

double value(FrameRate rate) { return static_cast<double>(rate.num) / rate.den; }

} // namespace

FrameRate nearest_rate(double per_second)
{
    auto const distance = [&](FrameRate rate) { return std::abs(value(rate) / per_second - 1); };
    auto const best = *std::min_element(std::begin(kUsual), std::end(kUsual),
                                        [&](auto a, auto b) { return distance(a) < distance(b); });
    if (distance(best) < 0.005)
        return best;
    auto const thousandths = static_cast<std::int32_t>(std::clamp(std::lround(per_second * 1000), 1L, 1'000'000L));
    std::int32_t const common = std::gcd(thousandths, 1000);
    return {thousandths / common, 1000 / common};
}

RateFacts rate_facts(std::vector<std::int64_t> steps, Ratio clock)
{
    PRECONDITION(!steps.empty());
    auto const middle = steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2);
    std::nth_element(steps.begin(), middle, steps.end());
    std::int64_t const median = *middle;
    double sum = 0;
    double count = 0;
    bool variable = false;
    for (std::int64_t const step : steps) {
        if (std::abs(step - median) * 4 <= median) {
            sum += static_cast<double>(step);
            ++count;
        }
        variable = variable || std::abs(step - median) > 1;
    }
    double const seconds = sum / count * clock.num / clock.den;
    return {nearest_rate(1 / seconds), variable};
}

} // namespace tabard::pipeline
