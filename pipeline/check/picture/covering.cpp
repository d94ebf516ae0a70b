#include "pipeline/check/picture/covering.h"

#include "pipeline/check/picture/occlusion.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace tabard::pipeline {
namespace {

std::array<overlay::Corner, overlay::kCorners> const kCorners = [] {
    std::array<overlay::Corner, overlay::kCorners> corners{};
    for (std::size_t i = 0; i < corners.size(); ++i)
        corners[i] = static_cast<overlay::Corner>(i);
    return corners;
}();
constexpr int kMostMoments = 8; // of a section that are looked at

std::size_t index(overlay::Corner corner) { return static_cast<std::size_t>(corner); }

/// Seconds of a section in which motion was measured, at most so many, spread evenly.
std::vector<std::size_t> moments(Survey const& survey, SectionSpan const& section)
{
    std::vector<std::size_t> seen;
    auto const first = static_cast<std::size_t>(std::max<std::int64_t>(0, section.in.count() / kFlicksPerSecond));
    for (auto second = first; second < survey.seconds.size(); ++second) {
        if (Time{static_cast<std::int64_t>(second) * kFlicksPerSecond} >= section.out)
            break;
        if (survey.seconds[second].moving_seen)
            seen.push_back(second);
    }
    std::vector<std::size_t> chosen;
    auto const step = std::max<std::size_t>(1, seen.size() / kMostMoments);
    for (std::size_t i = step / 2; i < seen.size(); i += step)
        chosen.push_back(seen[i]);
    return chosen;
}

MotionGrid strong_motion(Survey const& survey, std::vector<std::size_t> const& seconds)
{
    MotionGrid motion{};
    for (auto const second : seconds)
        for (std::size_t i = 0; i < kGridCells; ++i)
            motion[i] +=
                static_cast<float>(survey.seconds[second].motion[i]) / (8 * static_cast<float>(seconds.size()));
    return strong(motion);
}

double covered_share(MotionGrid const& motion, Occlusion const& occlusion)
{
    double all = 0;
    double hidden = 0;
    for (std::size_t i = 0; i < kGridCells; ++i) {
        all += motion[i];
        hidden += motion[i] * occlusion[i].alpha;
    }
    return all > 0 ? hidden / all : 0;
}

double covered_share(overlay::Box const& face, Occlusion const& occlusion)
{
    double all = 0;
    double hidden = 0;
    for (int y = static_cast<int>(face.y * kGridSide); y < std::min<double>(kGridSide, face.bottom() * kGridSide);
         ++y) {
        for (int x = static_cast<int>(face.x * kGridSide); x < std::min<double>(kGridSide, face.right() * kGridSide);
             ++x) {
            all += 1;
            hidden += occlusion[static_cast<std::size_t>(std::max(0, y) * kGridSide + std::max(0, x))].alpha;
        }
    }
    return all > 0 ? hidden / all : 0;
}

Time middle_of(std::size_t second, SectionSpan const& section)
{
    Time const middle{static_cast<std::int64_t>(second) * kFlicksPerSecond + kFlicksPerSecond / 2};
    return std::clamp(middle, section.in, section.out - Time{1});
}

CornerCover cover_of(Survey const& survey, Timeline const& timeline, SectionSpan const& section,
                     OcclusionPainter& painter, overlay::Corner corner)
{
    auto const cover_at = [&](Time time) {
        return painter.occlusion_moved(timeline.scene_at(time), section.corner, corner);
    };
    CornerCover result;
    auto const seconds = moments(survey, section);
    auto const motion = strong_motion(survey, seconds);
    for (auto const second : seconds)
        result.hands +=
            covered_share(motion, cover_at(middle_of(second, section))) / static_cast<double>(seconds.size());
    for (auto const& face : survey.faces) {
        if (face.time < section.in || face.time >= section.out)
            continue;
        double const share = covered_share(face.box, cover_at(face.time));
        if (share > result.face) {
            result.face = share;
            result.face_time = face.time;
        }
    }
    return result;
}

} // namespace

MotionGrid strong(MotionGrid motion)
{
    MotionGrid sorted = motion;
    auto const liveliest = sorted.begin() + kGridCells / 100;
    std::nth_element(sorted.begin(), liveliest, sorted.end(), std::greater<>{});
    float const least = std::max(1.0F, *liveliest / 3);
    for (auto& cell : motion)
        cell = cell >= least ? cell : 0;
    return motion;
}

Result<std::vector<SectionCover>> covering(Survey const& survey, Timeline const& timeline, overlay::Stage const& stage,
                                           overlay::Theme const& theme, Corners which)
{
    TRY_ASSIGN(auto painter, OcclusionPainter::create(stage, theme));
    auto const measure = [&](SectionSpan const& span, SectionCover& section, overlay::Corner corner) {
        section.corners[index(corner)] = cover_of(survey, timeline, span, painter, corner);
    };
    std::vector<SectionCover> result;
    std::array<bool, overlay::kCorners> wanted{};
    wanted.fill(which == Corners::all);
    for (auto const& span : timeline.sections()) {
        result.push_back({span.section, span.in, span.out, span.corner, {}});
        measure(span, result.back(), span.corner);
        if (which == Corners::where_needed && in_the_way(result.back().here()))
            wanted[index(span.corner)] = true;
    }
    for (std::size_t i = 0; i < result.size(); ++i)
        for (auto const corner : kCorners)
            if (wanted[index(result[i].corner)] && corner != result[i].corner)
                measure(timeline.sections()[i], result[i], corner);
    return result;
}

namespace {

/// What overlays in a corner hide over some sections, each counted by its length.
double hidden_by(std::vector<SectionCover> const& sections, overlay::Corner corner)
{
    double hidden = 0;
    for (auto const& section : sections)
        if (auto const& cover = section.corners[index(corner)])
            hidden += to_seconds(section.out - section.in) * (cover->hands + cover->face);
    return hidden;
}

/// The one of a set (compact or not) that hides least.
struct Weighed {
    overlay::Corner corner = overlay::Corner::top_left;
    double hidden = std::numeric_limits<double>::infinity();
};

Weighed least_hiding(std::vector<SectionCover> const& sections, bool compact)
{
    Weighed best;
    for (auto const corner : kCorners) {
        if (overlay::compact(corner) != compact)
            continue;
        if (double const hidden = hidden_by(sections, corner); hidden < best.hidden)
            best = {corner, hidden};
    }
    return best;
}

bool in_the_way_anywhere(std::vector<SectionCover> const& sections, overlay::Corner corner)
{
    return std::ranges::any_of(sections, [&](SectionCover const& section) {
        auto const& cover = section.corners[index(corner)];
        return cover && in_the_way(*cover);
    });
}

} // namespace

overlay::Corner best_corner(std::vector<SectionCover> const& sections, overlay::Corner current)
{
    Weighed best = least_hiding(sections, overlay::compact(current));
    if (!overlay::compact(current) && in_the_way_anywhere(sections, best.corner))
        if (auto const small = least_hiding(sections, true); small.hidden < best.hidden)
            best = small;
    double length = 0;
    for (auto const& section : sections)
        length += to_seconds(section.out - section.in);
    constexpr double kClearly = 0.05;
    return hidden_by(sections, current) - best.hidden > kClearly * length ? best.corner : current;
}

} // namespace tabard::pipeline
