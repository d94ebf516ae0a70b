#include "pipeline/check/picture/stillness.h"

#include <algorithm>
#include <cmath>

namespace tabard::pipeline {
namespace {

constexpr Time kLeastBlack{kFlicksPerSecond / 2};
constexpr Time kLeastFrozen{2 * kFlicksPerSecond};

bool same(Grid const& a, Grid const& b)
{
    constexpr float kMoved =
        1.5F; // encoding a still picture anew moves cells by up to about one code (measured with x264)
    return std::equal(a.begin(), a.end(), b.begin(), [](Cell const& x, Cell const& y) {
        return std::abs(x.luma - y.luma) < kMoved && std::abs(x.blue - y.blue) < kMoved &&
               std::abs(x.red - y.red) < kMoved;
    });
}

} // namespace

void StillnessMeter::Run::go_on(Time time)
{
    if (!since)
        since = time;
    last = time;
}

void StillnessMeter::Run::end(Time least, std::vector<FilmSpan>& spans)
{
    if (since && last - *since >= least)
        spans.push_back({*since, last});
    since.reset();
}

void StillnessMeter::add(Time time, Grid const& picture)
{
    bool const black =
        std::all_of(picture.begin(), picture.end(), [this](Cell const& cell) { return cell.luma <= m_black_code; });
    if (black)
        m_black_run.go_on(time);
    else
        m_black_run.end(kLeastBlack, m_black);

    if (black || !same(picture, m_still)) {
        m_still_run.end(kLeastFrozen, m_frozen);
        m_still = picture;
    }
    if (!black) // black pictures do not move either, but that is not what is wrong with them
        m_still_run.go_on(time);
}

void StillnessMeter::finish()
{
    m_black_run.end(kLeastBlack, m_black);
    m_still_run.end(kLeastFrozen, m_frozen);
}

} // namespace tabard::pipeline
