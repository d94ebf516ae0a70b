#include "pipeline/desk/view/still_picture.h"

#include "pipeline/desk/view/fast_png.h"
#include "pipeline/desk/view/scenes_json.h"
#include "pipeline/render/still.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace tabard::pipeline {
namespace {

/// No frame stays on screen longer than this without being shown again (see SceneRuns), but the last one may.
constexpr Time kAround{10 * kFlicksPerSecond};

/// Where the pixels of a line, scaled, begin in the line that it is made of; one more than it has.
std::vector<double> edges(int from, int to)
{
    std::vector<double> all;
    for (int i = 0; i <= to; ++i)
        all.push_back(static_cast<double>(i) * from / to);
    return all;
}

using Sums = std::array<double, 3>;

void add(Sums& sums, std::uint32_t pixel, double weight)
{
    for (std::size_t part = 0; part < sums.size(); ++part)
        sums[part] += weight * ((pixel >> (8 * part)) & 0xffu);
}

std::uint32_t opaque(Sums const& sums, double area)
{
    std::uint32_t pixel = 0xff000000u;
    for (std::size_t part = 0; part < sums.size(); ++part)
        pixel |= static_cast<std::uint32_t>(std::clamp(std::lround(sums[part] / area), 0l, 255l)) << (8 * part);
    return pixel;
}

/// Before the first frame that is shown, behind the end the last one.
Time on_film(KnownFilm const& film, Time at)
{
    return std::clamp(at, film.facts.first_picture, std::max(film.facts.first_picture, film.facts.duration));
}

double covered(int pixel, double begin, double end)
{
    return std::min<double>(pixel + 1, end) - std::max<double>(pixel, begin);
}

} // namespace

overlay::Bitmap scaled_down(overlay::Bitmap picture, int width)
{
    auto const [x, y, from_width, from_height] = picture.at;
    if (width >= from_width)
        return picture;
    int const height =
        std::max(1, static_cast<int>(std::lround(static_cast<double>(from_height) * width / from_width)));
    auto const across = edges(from_width, width);
    auto const down = edges(from_height, height);
    overlay::Bitmap small{{x, y, width, height}, {}};
    small.pixels.reserve(static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
    for (std::size_t row = 0; row + 1 < down.size(); ++row) {
        for (std::size_t column = 0; column + 1 < across.size(); ++column) {
            Sums sums{};
            for (int v = static_cast<int>(down[row]); v < from_height && v < down[row + 1]; ++v)
                for (int u = static_cast<int>(across[column]); u < from_width && u < across[column + 1]; ++u)
                    add(sums,
                        picture.pixels[static_cast<std::size_t>(v) * static_cast<std::size_t>(from_width) +
                                       static_cast<std::size_t>(u)],
                        covered(v, down[row], down[row + 1]) * covered(u, across[column], across[column + 1]));
            small.pixels.push_back(opaque(sums, (down[row + 1] - down[row]) * (across[column + 1] - across[column])));
        }
    }
    return small;
}

Answer Stills::picture(DrawnLesson const& drawn, StillRequest const& request)
{
    KnownFilm const& film = drawn.opened.film;
    if (!film.headers)
        return refusal(film.error.value_or(Error{ErrorKind::not_found, "the cue file names no film"}));
    Time const at = on_film(film, request.at);
    SceneRuns const runs =
        request.plain ? SceneRuns{} : SceneRuns(runs_within(drawn.opened.timeline, {}, at - kAround, at + kAround));
    return made(film.path, at, runs, drawn.look, request.width);
}

Answer Stills::frame(std::filesystem::path const& film, MediaInfo const& headers, StillRequest const& request)
{
    Time const at = on_film({film, headers, std::nullopt, facts_of(headers)}, request.at);
    Answer answer = made(film, at, {}, {overlay::default_theme(), {}}, request.width);
    answer.headers = {{"Cache-Control", "no-cache"}}; // no digest in the address says which film of this name it is
    return answer;
}

Answer Stills::made(std::filesystem::path const& film, Time at, SceneRuns const& runs, Look const& look,
                    std::optional<int> width)
{
    auto still = [&] {
        std::scoped_lock const lock{m_making};
        return render_still(film, at, runs, look);
    }();
    if (!still)
        return refusal(still.error());
    auto const picture = width ? scaled_down(std::move(still->picture), *width) : still->picture;
    return {200, "image/png", fast_png(picture), {{"Cache-Control", "private, max-age=3600"}}, {}};
}

} // namespace tabard::pipeline
