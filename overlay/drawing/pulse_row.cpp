#include "overlay/drawing/pulse_row.h"

#include <algorithm>

namespace tabard::overlay {

std::vector<Box> pulse_row(Box row, int pulses, double gap, GroupStarts groups)
{
    constexpr double kBetweenGroups = 1.8; // gaps more
    auto const apart = [&](int pulse) { return pulse > 0 && begins_group(groups, pulse); };
    int edges = 0;
    for (int i = 0; i < pulses; ++i)
        edges += apart(i) ? 1 : 0;
    double const width =
        std::max(0.0, (row.width - gap * (pulses - 1) - kBetweenGroups * gap * edges) / std::max(1, pulses));
    std::vector<Box> boxes;
    double x = row.x;
    for (int i = 0; i < pulses; ++i) {
        x += apart(i) ? kBetweenGroups * gap : 0;
        boxes.push_back({x, row.y, width, row.height});
        x += width + gap;
    }
    return boxes;
}

} // namespace tabard::overlay
