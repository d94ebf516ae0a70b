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
constexpr Time kAtOnce = kSecond / 12;        // half a flash of six a second: what changes within it changes together

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

/// What a picture brings to a cell.
struct Step {
    int direction = 0;   ///< 1 and -1 where a change up or down is complete
    bool sudden = false; ///< the most of it in this one picture
};

/// Follows the luminance of a cell from one extreme to the next.
struct GeneralCell {
    float low = 2;
    float high = -1;
    int direction = 0;  // of the last change
    float extreme = -1; // that it left with the last change
    float last = -1;    // light

    Step add(float light)
    {
        float const step = std::abs(light - last);
        last = light;
        constexpr float kChange = 0.1F - 1e-4F; // a tenth, not missed by rounding
        constexpr float kDark = 0.8F;
        low = std::min(low, light);
        high = std::max(high, light);
        if (direction >= 0 && high - light >= kChange && light < kDark)
            return turn(-1, light, high, step);
        if (direction <= 0 && light - low >= kChange && low < kDark)
            return turn(1, light, low, step);
        return {};
    }

private:
    /// What moves past changes a cell little by little: less in a picture than from the last extreme to this one.
    Step turn(int to, float light, float left, float step)
    {
        bool const sudden = extreme < 0 || 4 * step >= 3 * std::abs(left - extreme);
        direction = to;
        extreme = left;
        low = high = light;
        return {to, sudden};
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

    /// Up is into red. Only what changes so far in one picture counts.
    Step add(Rgb coded)
    {
        float const r = linear(coded.red);
        bool const now_red = r > 0.02F && r >= 0.8F * (r + linear(coded.green) + linear(coded.blue));
        bool const change = known && now_red != red && distance(before, coded) > 0.2F;
        known = true;
        red = now_red;
        before = coded;
        return !change ? Step{} : Step{now_red ? 1 : -1, true};
    }

private:
    static float distance(Rgb a, Rgb b)
    {
        auto const from = chromaticity(a);
        auto const to = chromaticity(b);
        return std::hypot(to.u - from.u, to.v - from.v);
    }
};

/// How many of some cells lie in a rectangle of them.
class CellSums {
public:
    explicit CellSums(Cells const& cells)
    {
        for (int y = 1; y <= kGridSide; ++y)
            for (int x = 1; x <= kGridSide; ++x)
                at(x, y) = at(x - 1, y) + at(x, y - 1) - at(x - 1, y - 1) +
                           int{cells[static_cast<std::size_t>((y - 1) * kGridSide + x - 1)]};
    }
    /// Of the window whose first cell this is.
    int window(int x, int y) const
    {
        return at(x + kWindow, y + kWindow) - at(x, y + kWindow) - at(x + kWindow, y) + at(x, y);
    }

private:
    static std::size_t place(int x, int y) { return static_cast<std::size_t>(y * (kGridSide + 1) + x); }
    int& at(int x, int y) { return m_sums[place(x, y)]; }
    int at(int x, int y) const { return m_sums[place(x, y)]; }

    std::array<int, (kGridSide + 1) * (kGridSide + 1)> m_sums{};
};

/// The most cells that any window of a third by a third holds.
int fullest_window(Cells const& cells)
{
    CellSums const sums(cells);
    int most = 0;
    for (int y = 0; y <= kGridSide - kWindow; ++y)
        for (int x = 0; x <= kGridSide - kWindow; ++x)
            most = std::max(most, sums.window(x, y));
    return most;
}

/// Those of `cells` that have more of them around than of `others`: stripes and squares less than three cells wide that
/// change places have not, and are texture.
Cells patches(Cells const& cells, Cells const& others)
{
    Cells result;
    for (int y = 0; y < kGridSide; ++y) {
        for (int x = 0; x < kGridSide; ++x) {
            if (!cells[static_cast<std::size_t>(y * kGridSide + x)])
                continue;
            int more = 0;
            for (int v = std::max(0, y - 1); v <= std::min(y + 1, kGridSide - 1); ++v)
                for (int u = std::max(0, x - 1); u <= std::min(x + 1, kGridSide - 1); ++u)
                    more += int{cells[static_cast<std::size_t>(v * kGridSide + u)]} -
                            int{others[static_cast<std::size_t>(v * kGridSide + u)]};
            result[static_cast<std::size_t>(y * kGridSide + x)] = more > 1; // itself is one
        }
    }
    return result;
}

/// The changes of all cells, of which those count that an area makes together. Where a pattern moves past, some cells
/// become lighter while as many become darker, and hardly two at the same time: texture, not flashing.
class AreaChanges {
public:
    /// Gives the cells that have changed too often until now.
    Cells add(Time time, std::array<Step, kGridCells> const& steps)
    {
        Cells sudden;
        for (std::size_t i = 0; i < kGridCells; ++i) {
            if (steps[i].direction != 0)
                m_last[i] = {time, steps[i].direction, false};
            sudden[i] = steps[i].direction != 0 && steps[i].sudden;
        }
        count_swaps(time, sudden);
        for (int const direction : {1, -1})
            count_areas(time, direction);
        Cells too_many;
        for (std::size_t i = 0; i < kGridCells; ++i)
            too_many[i] = m_changes[i].too_many(time);
        return too_many;
    }

private:
    struct Turn {
        Time time = kNever;
        int direction = 0;
        bool counted = false;
    };

    Cells turned_since(Time time, int direction) const
    {
        Cells cells;
        for (std::size_t i = 0; i < kGridCells; ++i)
            cells[i] = m_last[i].direction == direction && m_last[i].time >= time;
        return cells;
    }

    /// Fields that change places, however small: all of them in this picture, and few in those before. In a pattern
    /// that moves past, as many change in any picture.
    void count_swaps(Time time, Cells const& sudden)
    {
        if (sudden.count() <= kBorne)
            return;
        CellSums const now(sudden);
        CellSums const of_late(turned_since(time - kAtOnce, 1) | turned_since(time - kAtOnce, -1));
        for (int y = 0; y <= kGridSide - kWindow; ++y)
            for (int x = 0; x <= kGridSide - kWindow; ++x)
                if (now.window(x, y) > kBorne && 4 * now.window(x, y) >= 3 * of_late.window(x, y))
                    for (int const direction : {1, -1})
                        count_window(x, y, time, direction);
    }

    void count_areas(Time time, int direction)
    {
        Cells const turned = turned_since(time - kAtOnce, direction);
        if (turned.count() <= kBorne)
            return;
        CellSums const together(turned);
        CellSums const against(turned_since(time - kAtOnce, -direction));
        CellSums const now(patches(turned_since(time, direction), turned_since(time, -direction)));
        for (int y = 0; y <= kGridSide - kWindow; ++y)
            for (int x = 0; x <= kGridSide - kWindow; ++x)
                if (now.window(x, y) > kBorne ||
                    (together.window(x, y) > kBorne && 3 * against.window(x, y) <= together.window(x, y)))
                    count_window(x, y, time, direction);
    }

    void count_window(int left, int top, Time time, int direction)
    {
        for (int y = top; y < top + kWindow; ++y) {
            for (int x = left; x < left + kWindow; ++x) {
                auto const i = static_cast<std::size_t>(y * kGridSide + x);
                Turn& turn = m_last[i];
                if (turn.counted || turn.direction != direction || turn.time < time - kAtOnce)
                    continue;
                turn.counted = true;
                m_changes[i].add(turn.time);
            }
        }
    }

    std::array<Turn, kGridCells> m_last;
    std::array<Changes, kGridCells> m_changes;
};

} // namespace

struct FlashMeter::Impl {
    std::array<GeneralCell, kGridCells> general;
    std::array<RedCell, kGridCells> red;
    AreaChanges general_changes;
    AreaChanges red_changes;
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
    std::array<Step, kGridCells> general;
    std::array<Step, kGridCells> red;
    for (std::size_t i = 0; i < kGridCells; ++i) {
        general[i] = m_impl->general[i].add(luminance(picture[i]));
        red[i] = m_impl->red[i].add(picture[i]);
    }
    m_impl->judge(time, m_impl->general_changes.add(time, general), false);
    m_impl->judge(time, m_impl->red_changes.add(time, red), true);
}

std::vector<FlashSpan> const& FlashMeter::spans() const { return m_impl->spans; }

} // namespace tabard::pipeline
