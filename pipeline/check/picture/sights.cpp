#include "pipeline/check/picture/sights.h"

#include "pipeline/check/picture/covering.h"
#include "pipeline/check/picture/face_finder.h"
#include "pipeline/check/picture/window_look.h"

#include <algorithm>

namespace tabard::pipeline {
namespace {

using overlay::Box;
using overlay::CoverSight;

constexpr Time kAround{kFlicksPerSecond};
constexpr Time kLookStep{kFlicksPerSecond / 4}; // from one look for faces to the next

constexpr double kHead = 10;
constexpr double kHands = 5;
constexpr double kLikelyHead = 2;
constexpr double kMiddle = 1;

/// Boxes that were found in two pictures at least: a lone one is mostly none.
std::vector<Box> believed(std::vector<std::vector<Box>> const& looks)
{
    std::vector<Box> faces;
    for (std::size_t i = 0; i < looks.size(); ++i)
        for (Box const& face : looks[i]) {
            auto const same = [&](Box const& other) {
                return other.inset(other.width / 4).overlaps(face.inset(face.width / 4));
            };
            bool const again = std::any_of(looks.begin() + static_cast<std::ptrdiff_t>(i) + 1, looks.end(),
                                           [&](auto const& look) { return std::ranges::any_of(look, same); });
            if (again && std::ranges::none_of(faces, same))
                faces.push_back(face);
        }
    return faces;
}

Result<std::vector<Box>> faces_in(MediaReader& reader, FilmSpan const& window)
{
    std::vector<std::vector<Box>> looks;
    auto finder = FaceFinder::create();
    if (!finder)
        return std::vector<Box>{}; // as check goes on without it, and says so
    TRY_VOID(reader.seek(window.in));
    for (Time next = window.in;;) {
        TRY_ASSIGN(auto const picture, reader.next());
        if (!picture || picture->time() >= window.out)
            break;
        if (picture->time() < next)
            continue;
        looks.push_back(finder->find(picture->view(), reader.video()));
        next = picture->time() + kLookStep;
    }
    return believed(looks);
}

/// The whole head of a face, which reaches from the brows to the chin: hair or a hat, ears, the neck.
Box head_of(Box const& face)
{
    double const left = std::max(0.0, face.x - 0.2 * face.width);
    double const top = std::max(0.0, face.y - 0.7 * face.height);
    return {left, top, std::min(1.0, face.right() + 0.2 * face.width) - left,
            std::min(1.0, face.bottom() + 0.2 * face.height) - top};
}

MotionGrid mean_motion(WindowLook const& look)
{
    MotionGrid motion{};
    for (auto const& second : look.seconds)
        for (std::size_t i = 0; i < kGridCells; ++i)
            motion[i] += static_cast<float>(second.motion[i]) / (8 * static_cast<float>(look.seconds.size()));
    return motion;
}

void add_hands(MotionGrid const& moving, std::vector<CoverSight>& sights)
{
    double all = 0;
    for (float const cell : moving)
        all += cell;
    constexpr double kCell = 1.0 / kGridSide;
    for (int i = 0; i < kGridCells; ++i)
        if (double const cell = moving[static_cast<std::size_t>(i)]; cell > 0)
            sights.push_back({{i % kGridSide * kCell, i / kGridSide * kCell, kCell, kCell}, kHands * cell / all});
}

} // namespace

Result<std::vector<CoverSight>> sights_near(std::filesystem::path const& footage, Time time, std::stop_token stop)
{
    ReadOptions reading;
    reading.thoroughness = Thoroughness::rough;
    reading.stop = std::move(stop);
    TRY_ASSIGN(auto reader, MediaReader::open(footage, reading));
    FilmSpan const window{time - kAround, time + kAround};
    TRY_ASSIGN(auto const look, look_at_window(reader, reader.video(), window));
    TRY_ASSIGN(auto const faces, faces_in(reader, window));
    std::vector<CoverSight> sights{{{0.2, 0.15, 0.6, 0.75}, kMiddle}};
    for (Box const& face : faces)
        sights.push_back({head_of(face), kHead});
    if (faces.empty())
        sights.push_back({{0.3, 0.05, 0.4, 0.35}, kLikelyHead});
    add_hands(strong(mean_motion(look)), sights);
    return sights;
}

} // namespace tabard::pipeline
