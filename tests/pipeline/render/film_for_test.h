#pragma once
#include "pipeline/media/read/probe.h"
#include "pipeline/render/film.h"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

namespace tabard::tests {

using namespace pipeline;
using overlay::RectPx;

inline overlay::Scene text_scene(char const* words = "Slowly at first")
{
    overlay::Scene scene;
    scene.layers.push_back({overlay::TextCard{words}});
    return scene;
}

inline Look plain_look() { return {overlay::default_theme()}; }

inline FilmJob job_for(std::filesystem::path const& footage, std::filesystem::path const& target,
                       std::vector<SceneRun> runs)
{
    FilmJob job;
    job.footage = footage;
    job.target = target;
    job.runs = SceneRuns(std::move(runs));
    job.look = plain_look();
    job.write.encoder.preset = "ultrafast";
    job.write.encoder.crf = 12;
    return job;
}

/// A decoded picture's samples, taken out of the reader.
struct Picture {
    Time time;
    std::vector<std::uint8_t> luma;
    int width = 0;
    int height = 0;
};

inline std::vector<Picture> read_pictures(std::filesystem::path const& path)
{
    std::vector<Picture> pictures;
    auto reader = MediaReader::open(path);
    EXPECT_TRUE(reader) << reader.error().what;
    while (reader) {
        auto next = reader->next();
        EXPECT_TRUE(next) << next.error().what;
        if (!next || !*next)
            break;
        PlaneView const plane = (*next)->view().planes[0];
        Picture picture{(*next)->time(), {}, plane.width, plane.height};
        for (int y = 0; y < plane.height; ++y) {
            auto const* const row = reinterpret_cast<std::uint8_t const*>(plane.data + y * plane.stride);
            picture.luma.insert(picture.luma.end(), row, row + plane.width);
        }
        pictures.push_back(std::move(picture));
    }
    return pictures;
}

enum class Where { inside, outside };

/// Mean squared difference of two pictures' luma inside or outside of `rect`, as PSNR in dB (60 for equal ones).
inline double psnr(Picture const& a, Picture const& b, RectPx rect, Where where)
{
    double sum = 0;
    int count = 0;
    for (int y = 0; y < a.height; ++y) {
        for (int x = 0; x < a.width; ++x) {
            bool const inside = x >= rect.x && x < rect.x + rect.width && y >= rect.y && y < rect.y + rect.height;
            if (inside != (where == Where::inside))
                continue;
            auto const at = static_cast<std::size_t>(y * a.width + x);
            double const difference = a.luma[at] - b.luma[at];
            sum += difference * difference;
            ++count;
        }
    }
    return sum == 0 ? 60 : std::min(60.0, 10 * std::log10(255.0 * 255 * count / sum));
}

inline RectPx ink_of(MediaInfo const& footage, overlay::Scene const& scene)
{
    auto compositor = Compositor::create(*footage.video, plain_look());
    return compositor->prepare(scene).layers().at(0).planes->luma_at;
}

/// Which picture is on screen at `instant`: the last whose time is at most 1 ms after it.
inline std::size_t on_screen_at(Time instant, std::vector<Picture> const& pictures)
{
    auto const later = [&](Picture const& picture) { return picture.time > instant + from_ticks(1, 1, 1000); };
    auto const next = std::find_if(pictures.begin(), pictures.end(), later);
    return static_cast<std::size_t>(std::max<std::ptrdiff_t>(0, next - pictures.begin() - 1));
}

/// The overlay is there from the picture on screen at its in-point to the one before that on screen at its out-point;
/// elsewhere the picture is the footage's.
inline void expect_overlay_on_its_pictures_alone(std::filesystem::path const& footage,
                                                 std::filesystem::path const& film, SceneRun const& run,
                                                 double least_decibels = 36)
{
    std::vector<Picture> const before = read_pictures(footage);
    std::vector<Picture> const after = read_pictures(film);
    RectPx const ink = ink_of(*probe_film(footage), run.scene);
    ASSERT_EQ(before.size(), after.size());
    int drawn = 0;
    for (std::size_t i = 0; i < before.size(); ++i) {
        SCOPED_TRACE(i);
        EXPECT_EQ(before[i].time, after[i].time);
        EXPECT_GT(psnr(before[i], after[i], ink, Where::outside), least_decibels);
        bool const shown = i >= on_screen_at(run.in, before) && i < on_screen_at(run.out, before);
        drawn += shown;
        double const inside = psnr(before[i], after[i], ink, Where::inside);
        if (shown)
            EXPECT_LT(inside, 20);
        else
            EXPECT_GT(inside, least_decibels);
    }
    EXPECT_GT(drawn, 2);
}

} // namespace tabard::tests
