// What is really inked, over every shape of picture that films come in: inside the safe area, no layer on another, and
// no sign outside its card.
#include "overlay/drawing/layout.h"
#include "overlay/drawing/painter.h"
#include "tests/overlay/drawing/samples.h"

#include <algorithm>
#include <cmath>
#include <random>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

/// Each kind of layer with as much in it as there can be.
std::vector<LayerContent> full_layers(int strings)
{
    auto const count = static_cast<std::size_t>(strings);
    Shape high{std::vector<int>(count, 12), std::vector<int>(count, 4)};
    high.frets.front() = 10;
    high.fingers.front() = 1;
    std::vector<int> const every{0, 1, 2};
    ChordLabel const long_name{"B\u266Dm", "maj13\u266F11", "F\u266F"};
    std::string words;
    for (int i = 0; i < 20; ++i)
        words += "hold this shape, Wjq; ";
    StrumPattern busy = samples::picking();
    busy.steps.insert(busy.steps.end(), busy.steps.begin(), busy.steps.end());
    for (StrumStep& step : busy.steps)
        for (Pluck& pluck : step.plucks)
            pluck.string = std::min(pluck.string, strings);
    RibbonBar const bar{125, 12, {{long_name, 3}, {long_name, 3}, {long_name, 3}, {long_name, 3}}};
    RibbonBar const after{126, 12, bar.chords};
    return {ChordCard{long_name, high, every, {}, high},
            NextChordCard{long_name, high, every, {}, 12, 16},
            CapoLine{12, "B\u266Dm", "G\u266Fm"},
            StrumLane{"busy", busy, {12, 8}, 3, strings, 4},
            BarRibbon{{bar, after}, 11, 12, 128, 2000, std::string(90, 'W')},
            SectionBanner{std::string(90, 'W'), std::string(90, 'W')},
            CountIn{12, 12},
            TextCard{words}};
}

/// From 9:21 to 32:9, as displayed: the shapes of films, and sizes that nothing divides.
std::vector<Stage> stages()
{
    std::vector<Stage> all;
    auto const add = [&](int width, int height) {
        auto const i = all.size();
        Stage stage{width,
                    height,
                    0,
                    0,
                    3 + static_cast<int>(i % 6),
                    i / 4 % 2 == 1,
                    static_cast<Corner>(i % 4),
                    i % 3 == 0 ? 0 : 12};
        double const scale = 320.0 / std::min(width, height); // fewer pixels are drawn sooner
        stage.raster_width = static_cast<int>(std::lround(width * scale * (i % 5 == 0 ? 0.75 : 1))); // not square
        stage.raster_height = static_cast<int>(std::lround(height * scale));
        all.push_back(stage);
    };
    for (auto const& [width, height] : {std::pair{900, 2100},
                                        {1080, 2340},
                                        {1080, 1920},
                                        {607, 1079},
                                        {864, 1080},
                                        {971, 1080},
                                        {973, 1080},
                                        {1080, 1080},
                                        {1349, 1080},
                                        {1351, 1080},
                                        {640, 480},
                                        {1920, 1080},
                                        {2048, 858},
                                        {2560, 1080},
                                        {3840, 1080}})
        for (int corner = 0; corner < 2; ++corner)
            add(width, height);
    std::mt19937 random{1};
    for (int i = 0; i < 6; ++i) {
        int const height = std::uniform_int_distribution{241, 2161}(random);
        double const ratio = std::exp(std::uniform_real_distribution{std::log(9.0 / 21), std::log(32.0 / 9)}(random));
        add(static_cast<int>(height * ratio) + 1, height);
    }
    return all;
}

Box ink_of(Bitmap const& bitmap)
{
    return {static_cast<double>(bitmap.at.x), static_cast<double>(bitmap.at.y), static_cast<double>(bitmap.at.width),
            static_cast<double>(bitmap.at.height)};
}

std::string printed(Box const& box)
{
    return (std::stringstream() << box.width << "x" << box.height << " at " << box.x << "," << box.y).str();
}

std::string described(Stage const& stage, std::size_t kind)
{
    return (std::stringstream() << stage.display_width << "x" << stage.display_height << " drawn as "
                                << stage.raster_width << "x" << stage.raster_height << ", " << stage.strings
                                << " strings, corner " << static_cast<int>(stage.corner) << ", capo " << stage.capo
                                << (stage.left_handed ? ", left-handed" : "") << ", layer " << kind)
        .str();
}

// EBU R 95: graphics keep 5 % of width and height from each edge. It is about 16:9; other shapes are treated alike. A
// sample that the edge of the area cuts may be inked in part.
TEST(Ink, KeepsInsideTheSafeAreaAndNoTwoLayersMeet)
{
    for (Stage const& stage : stages()) {
        auto painter = *Painter::create(stage, default_theme());
        double const w = stage.raster_width;
        double const h = stage.raster_height;
        Box const safe{std::floor(0.05 * w), std::floor(0.05 * h), 0, 0};
        Box const area{safe.x, safe.y, std::ceil(0.95 * w) - safe.x, std::ceil(0.95 * h) - safe.y};
        std::vector<Box> inked;
        for (LayerContent const& content : full_layers(stage.strings)) {
            Box const ink = ink_of(*painter.paint(content));
            EXPECT_GT(ink.width * ink.height, 0) << described(stage, content.index());
            EXPECT_TRUE(area.contains(ink))
                << described(stage, content.index()) << ": " << printed(ink) << " in " << printed(area);
            for (std::size_t other = 0; other < inked.size(); ++other)
                EXPECT_FALSE(inked[other].overlaps(ink)) << described(stage, content.index()) << " on " << other;
            inked.push_back(ink);
        }
    }
}

// Drawn without its card, and the card without what stands on it.
TEST(Ink, OfSignsAndWordsStaysOnItsCard)
{
    Theme signs = default_theme();
    signs.card.alpha = signs.edge.alpha = 0;
    Theme card = default_theme();
    for (auto const part : {&Theme::ink, &Theme::soft_ink, &Theme::line, &Theme::string, &Theme::dot, &Theme::on_dot,
                            &Theme::on_accent, &Theme::capo, &Theme::on_capo})
        (card.*part).alpha = 0;
    card.accent = {0, 0, 0, 0};
    for (Stage const& stage : stages()) {
        auto painter = *Painter::create(stage, signs);
        auto cards = *Painter::create(stage, card);
        for (LayerContent const& content : full_layers(stage.strings)) {
            Box const plate = ink_of(*cards.paint(content));
            Box const ink = ink_of(*painter.paint(content));
            EXPECT_TRUE(plate.contains(ink))
                << described(stage, content.index()) << ": " << printed(ink) << " on " << printed(plate);
        }
    }
}

} // namespace
} // namespace tabard::overlay
