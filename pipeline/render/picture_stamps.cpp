#include "pipeline/render/picture_stamps.h"

#include <algorithm>
#include <iterator>

namespace tabard::pipeline {
namespace {

std::int64_t milliseconds(Time time) { return to_ticks(time, 1, 1000); }

} // namespace

PictureStamps::PictureStamps(std::vector<Time> const& times, Time end) : m_times(times)
{
    if (m_times.empty() || end > m_times.back())
        m_times.push_back(end);
}

std::int64_t PictureStamps::picture_before(Time time) const
{
    auto const here = std::ranges::lower_bound(m_times, time);
    return here == m_times.begin() ? -1 : milliseconds(*std::prev(here));
}

std::int64_t PictureStamps::change_at(Time time) const
{
    std::int64_t const picture = milliseconds(time);
    std::int64_t const before = picture_before(time);
    std::int64_t const hundredth = (picture - 1) / 10 * 10;
    if (picture <= 1 || hundredth > before + 1)
        return std::max<std::int64_t>(hundredth, 0);
    return std::max<std::int64_t>((before + picture + 1) / 2, 0);
}

} // namespace tabard::pipeline
