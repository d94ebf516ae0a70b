#include "pipeline/desk/view/scenes_json.h"
#include "tests/support/pictures.h"
#include "tests/support/run_program.h"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace tabard::pipeline {
namespace {

using nlohmann::json;

constexpr char const* kLesson = R"({"tabard": 1, "title": "Quay", "footage": "none.mp4", "tempo": 97, "capo": 3,
  "made_for": {"duration": "0:30"},
  "strums": {"even": {"steps": "D U D U D U D U"}},
  "sections": [
    {"name": "Talk", "from": "0:00.4", "show": [{"chord": "C", "from": "0:01.333"}, {"text": "Hello", "from": "0:02", "to": "0:03.1"}]},
    {"name": "Verse", "from": "0:06.01", "count_in": 1, "placement": "bottom-right", "bars": "C | G Am | F | C"},
    {"name": "End", "from": "0:22", "text": "Rest."}
  ]})";

LessonView view_of(char const* text)
{
    return look_at(text, "/nowhere/lesson.json", FilmHeaders{}, [](OpenedLesson const&) { return Look{}; });
}

std::vector<Time> constant_frames(FrameRate rate)
{
    std::vector<Time> frames;
    for (std::int64_t i = 0; from_frame(i, rate) < from_seconds(30); ++i)
        frames.push_back(from_frame(i, rate));
    return frames;
}

/// Steps of 10 to 90 ms, by a fixed rule.
std::vector<Time> uneven_frames()
{
    std::vector<Time> frames;
    for (std::int64_t milliseconds = 37, i = 0; milliseconds < 30'000; milliseconds += 10 + (i++ * 37) % 81)
        frames.push_back(from_ticks(milliseconds, 1, 1000));
    return frames;
}

/// Layer digests with their levels, of the frame at `time`, as the page reads the answer (README, scenes).
std::vector<std::pair<std::string, int>> layers_at(json const& scenes, double time)
{
    json const* on_screen = nullptr;
    for (json const& run : scenes["runs"])
        if (run[0].get<double>() <= time + 0.0005)
            on_screen = time < run[1].get<double>() - 0.0005 ? &run : nullptr;
    std::vector<std::pair<std::string, int>> layers;
    if (on_screen) {
        json const& scene = scenes["scenes"][(*on_screen)[2].get<std::size_t>()];
        for (std::size_t i = 0; i + 1 < scene.size(); i += 2)
            layers.emplace_back(scenes["layers"][scene[i].get<std::size_t>()], scene[i + 1]);
    }
    return layers;
}

TEST(ScenesForThePage, AreThoseOfTheFilmOnEveryFrame)
{
    auto const view = view_of(kLesson);
    ASSERT_TRUE(view.drawn);
    DrawnLesson const& drawn = *view.drawn;
    SceneRuns const whole = SceneRuns::of(drawn.opened.timeline);
    auto const look = std::make_shared<LayerLook const>(layer_look(drawn.look, {1280, 720}));
    for (auto const& frames : {constant_frames({25, 1}), constant_frames({30000, 1001}), uneven_frames()}) {
        LayerStore store;
        std::size_t drawn_frames = 0;
        for (int window = 0; window < 30; window += 10) {
            auto const scenes =
                json::parse(scenes_json(drawn, frames, from_seconds(window), from_seconds(window + 10), store));
            for (std::size_t i = 0; i < frames.size(); ++i) {
                if (frames[i] < from_seconds(window) || frames[i] >= from_seconds(window + 10))
                    continue;
                Time const until = i + 1 < frames.size() ? frames[i + 1] : from_seconds(30);
                SceneRun const* const run = whole.on_picture(frames[i], until);
                std::vector<std::pair<std::string, int>> wanted;
                for (overlay::Layer const& layer : run ? run->scene.layers : std::vector<overlay::Layer>{})
                    wanted.emplace_back(store.hand_out(look, layer), layer.level);
                ASSERT_EQ(layers_at(scenes, to_seconds(frames[i])), wanted) << to_seconds(frames[i]);
                drawn_frames += run ? 1 : 0;
            }
        }
        EXPECT_GT(drawn_frames, frames.size() / 2);
    }
}

TEST(ScenesForThePage, AreTheTimelinesWhereFramesAreNotKnown)
{
    auto const view = view_of(kLesson);
    SceneRuns const whole = SceneRuns::of(view.drawn->opened.timeline);
    auto const runs = runs_within(view.drawn->opened.timeline, {}, from_seconds(5), from_seconds(9));
    ASSERT_FALSE(runs.empty());
    for (SceneRun const& run : runs)
        EXPECT_EQ(*whole.at(run.in), run);
    EXPECT_LE(runs.front().in, from_seconds(5));
    EXPECT_GE(runs.back().out, from_seconds(9));
}

TEST(LayerForThePage, HasThePixelsOfThePainter)
{
    tests::TemporaryFolder const folder;
    auto const view = view_of(kLesson);
    LayerStore store;
    auto const scenes = json::parse(scenes_json(*view.drawn, {}, from_seconds(5), from_seconds(20), store));
    overlay::Stage stage = view.drawn->look.stage;
    stage.display_width = stage.raster_width = 1280; // without a film
    stage.display_height = stage.raster_height = 720;
    auto painter = overlay::Painter::create(stage, view.drawn->look.theme);
    ASSERT_TRUE(painter);
    auto const look = std::make_shared<LayerLook const>(layer_look(view.drawn->look, {1280, 720}));
    std::map<std::string, overlay::Layer> layers;
    SceneRuns const whole = SceneRuns::of(view.drawn->opened.timeline);
    for (SceneRun const& run : whole.all())
        for (overlay::Layer const& layer : run.scene.layers)
            layers.try_emplace(store.hand_out(look, layer), layer);
    ASSERT_GT(scenes["layers"].size(), 10U);
    for (std::string const digest : scenes["layers"]) {
        ASSERT_TRUE(layers.contains(digest));
        auto const wanted = painter->paint(layers.at(digest).content, layers.at(digest).corner);
        Answer const answer = store.paint(digest);
        ASSERT_EQ(answer.status, 200);
        EXPECT_EQ(answer.type, "image/png");
        tests::write_text(folder / "layer.png", answer.body);
        auto const read = tests::read_png(folder / "layer.png");
        tests::write_png(folder / "wanted.png", *wanted); // straight alpha rounds both alike
        EXPECT_EQ(read.pixels, tests::read_png(folder / "wanted.png").pixels);
        auto const& [x, y, width, height] = wanted->at;
        EXPECT_EQ(answer.headers.back(),
                  (std::pair<std::string, std::string>{"Tabard-Place", std::to_string(x) + " " + std::to_string(y) +
                                                                           " " + std::to_string(width) + " " +
                                                                           std::to_string(height)}));
    }
}

TEST(LayerForThePage, IsNotLargerThanAPageHasUseFor)
{
    LayerLook const large = layer_look({}, {3840, 2160});
    EXPECT_EQ(large.scale, 2);
    EXPECT_EQ(large.stage.raster_width, 1920);
    EXPECT_EQ(large.stage.raster_height, 1080);
    EXPECT_EQ(large.stage.display_width, 3840);
    LayerLook const small = layer_look({}, {640, 360});
    EXPECT_EQ(small.scale, 1);
    EXPECT_EQ(small.stage.raster_width, 640);
    EXPECT_NE(small.digest, large.digest);
}

TEST(LayerForThePage, IsNotKnownBeforeItWasHandedOut)
{
    LayerStore store;
    EXPECT_EQ(store.paint("0123456789abcdef0123456789abcdef").status, 404);
    EXPECT_EQ(store.paint("../../etc/passwd").status, 404);
}

TEST(LayerForThePage, IsForgottenOnceManyOthersWereHandedOut)
{
    LayerStore store;
    auto const look = std::make_shared<LayerLook const>(layer_look({}, {640, 360}));
    auto const text = [&](int number) {
        return store.hand_out(look, {overlay::TextCard{std::to_string(number)}, overlay::kFullLevel, std::nullopt});
    };
    std::string const first = text(0);
    EXPECT_EQ(text(0), first);
    for (int i = 1; i <= 20'000; ++i)
        text(i);
    EXPECT_EQ(store.paint(first).status, 404);
    EXPECT_EQ(store.paint(text(20'000)).status, 200);
}

} // namespace
} // namespace tabard::pipeline
