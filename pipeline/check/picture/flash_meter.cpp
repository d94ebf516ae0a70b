#include "pipeline/check/picture/flash_meter.h"

#include <algorithm>
#include <bitset>
#include <cmath>
#include <limits>

namespace tabard::pipeline {
namespace {

constexpr Time kSecond{kFlicksPerSecond};
constexpr Time kNever{std::numeric_limits<std::int64_t>::min() / 2};
constexpr std::size_t kTooMany = 7;           // changes: three flashes are six
constexpr int kWindow = kGridSide / 3;        // cells a side
constexpr int kBorne = kWindow * kWindow / 4; // cells that may flash in a window

using Cells = std::bitset<kGridCells>;

/// When one cell last changed, seven times back.
class Changes {
public:
    Changes() { m_times.fill(kNever); }
    void add(Time time)
    {
        m_times[m_oldest] = time;
        m_oldest = (m_oldest + 1) % kTooMany;
    }
    bool too_many(Time now) const { return m_times[m_oldest] > now - kSecond; }

private:
    std::array<Time, kTooMany> m_times;
    std::size_t m_oldest = 0;
};

/// Follows the luminance of a cell from one extreme to the next.
struct GeneralCell {
    float low = 2;
    float high = -1;
    int direction = 0; // of the last change
    Changes changes;

    void add(Time time, float light)
    {
        constexpr float kChange = 0.1F - 1e-4F; // a tenth, not missed by rounding
        constexpr float kDark = 0.8F;
        low = std::min(low, light);
        high = std::max(high, light);
        if (direction >= 0 && high - light >= kChange && light < kDark)
            turn(-1, time, light);
        else if (direction <= 0 && light - low >= kChange && low < kDark)
            turn(1, time, light);
    }

private:
    void turn(int to, Time time, float light)
    {
        direction = to;
        low = high = light;
        changes.add(time);
    }
};

struct Chromaticity {
    float u = 0;
    float v = 0;
};

/// CIE 1976 u', v' (IEC 61966-2-1: sRGB primaries to XYZ).
Chromaticity chromaticity(Rgb coded)
{
    float const r = linear(coded.red);
    float const g = linear(coded.green);
    float const b = linear(coded.blue);
    float const x = 0.4124F * r + 0.3576F * g + 0.1805F * b;
    float const y = 0.2126F * r + 0.7152F * g + 0.0722F * b;
    float const z = 0.0193F * r + 0.1192F * g + 0.9505F * b;
    float const sum = x + 15 * y + 3 * z;
    return sum < 1e-4F ? Chromaticity{0.1978F, 0.4683F} : Chromaticity{4 * x / sum, 9 * y / sum}; // black: as white
}

/// Follows a cell into and out of saturated red.
struct RedCell {
    bool red = false;
    bool known = false;
    Rgb before; // what it was until now
    Changes changes;

    void add(Time time, Rgb coded)
    {
        float const r = linear(coded.red);
        bool const now_red = r > 0.02F && r >= 0.8F * (r + linear(coded.green) + linear(coded.blue));
        if (known && now_red != red && distance(before, coded) > 0.2F)
            changes.add(time);
        known = true;
        red = now_red;
        before = coded;
    }

private:
    static float distance(Rgb a, Rgb b)
    {
        auto const from = chromaticity(a);
        auto const to = chromaticity(b);
        return std::hypot(to.u - from.u, to.v - from.v);
    }
};

/// The most flashing cells that any window of a third by a third holds.
int fullest_window(Cells const& cells)
{
    std::array<int, (kGridSide + 1) * (kGridSide + 1)> sums{};
    auto const at = [&sums](int x, int y) -> int& { return sums[static_cast<std::size_t>(y * (kGridSide + 1) + x)]; };
    int most = 0;
    for (int y = 1; y <= kGridSide; ++y) {
        for (int x = 1; x <= kGridSide; ++x) {
            bool const flashing = cells[static_cast<std::size_t>((y - 1) * kGridSide + x - 1)];
            at(x, y) = at(x - 1, y) + at(x, y - 1) - at(x - 1, y - 1) + (flashing ? 1 : 0);
            if (x >= kWindow && y >= kWindow)
                most =
                    std::max(most, at(x, y) - at(x - kWindow, y) - at(x, y - kWindow) + at(x - kWindow, y - kWindow));
        }
    }
    return most;
}

} // namespace

struct FlashMeter::Impl {
    std::array<GeneralCell, kGridCells> general;
    std::array<RedCell, kGridCells> red;
    std::vector<FlashSpan> spans;

    void judge(Time time, Cells const& flashing, bool is_red)
    {
        if (flashing.count() <= kBorne || fullest_window(flashing) <= kBorne)
            return;
        double const share = static_cast<double>(flashing.count()) / kGridCells;
        auto const last =
            std::find_if(spans.rbegin(), spans.rend(), [&](FlashSpan const& s) { return s.red == is_red; });
        if (last != spans.rend() && time - last->out <= kSecond) {
            last->out = time;
            last->share = std::max(last->share, share);
        } else {
            spans.push_back({std::max(Time{0}, time - kSecond), time, is_red, share});
        }
    }
};

FlashMeter::FlashMeter() : m_impl(std::make_unique<Impl>()) {}
FlashMeter::FlashMeter(FlashMeter&&) noexcept = default;
FlashMeter& FlashMeter::operator=(FlashMeter&&) noexcept = default;
FlashMeter::~FlashMeter() = default;

void FlashMeter::add(Time time, RgbGrid const& picture)
{
    Cells general;
    Cells red;
    for (std::size_t i = 0; i < kGridCells; ++i) {
        m_impl->general[i].add(time, luminance(picture[i]));
        m_impl->red[i].add(time, picture[i]);
        general[i] = m_impl->general[i].changes.too_many(time);
        red[i] = m_impl->red[i].changes.too_many(time);
    }
    m_impl->judge(time, general, false);
    m_impl->judge(time, red, true);
}

std::vector<FlashSpan> const& FlashMeter::spans() const { return m_impl->spans; }

} // namespace tabard::pipeline
