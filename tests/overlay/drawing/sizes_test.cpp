// Every word on every card, at the size at which a phone shows the picture: 400 pixels wide.
#include "overlay/drawing/bar_fit.h"
#include "overlay/drawing/chord_lettering.h"
#include "tests/overlay/drawing/label_recorder.h"
#include "tests/overlay/drawing/samples.h"

#include <algorithm>
#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

using samples::Label;
using samples::labels_of;

// 16:9, 4:3, 1:1, 9:16 and 21:9 (64:27).
constexpr RectPx kPictures[] = {
    {0, 0, 1280, 720}, {0, 0, 960, 720}, {0, 0, 720, 720}, {0, 0, 720, 1280}, {0, 0, 1280, 540}};

std::vector<Scene> scenes()
{
    return {samples::playing(),   samples::anchored(), samples::everything(), samples::talk(),
            samples::last_beat(), samples::crowded(),  samples::no_chord()};
}

template <class Check>
void for_each_card(Check check)
{
    for (RectPx const size : kPictures)
        for (int corner = 0; corner < kCorners; ++corner)
            for (int const strings : {6, 4, 8}) {
                Stage stage{size.width, size.height, size.width, size.height, strings};
                stage.corner = static_cast<Corner>(corner);
                stage.capo = 4;
                for (Scene const& scene : scenes())
                    for (Layer const& layer : scene.layers) {
                        SCOPED_TRACE(testing::Message()
                                     << size.width << "x" << size.height << ", corner " << corner << ", " << strings
                                     << " strings, layer " << layer.content.index());
                        check(layer.content, stage);
                    }
            }
}

/// A root among the letters of a ribbon of samples, and none of its basses.
bool is_a_root(std::string const& text) { return text == "F" || text == "C" || text == "E" || text == "Am"; }

void expect_at_least(std::vector<Label> const& labels, double pixels, Stage const& stage)
{
    for (Label const& label : labels)
        EXPECT_GE(label.em * 400 / stage.display_width, pixels - 1e-3) << label.text;
}

// WebVTT's default for captions is 5 % of the height, 11.25 pixels of 225: kPlayedEm is that to the pixel below.
TEST(Sizes, WhatSaysWhatToPlayHasElevenPixelsAndAllElseEightAndAHalf)
{
    for_each_card([](LayerContent const& content, Stage const& stage) {
        auto const labels = labels_of(content, stage);
        expect_at_least(labels, 8.5, stage);
        if (auto const* const chord = std::get_if<ChordCard>(&content)) {
            expect_at_least({labels.front()}, 11, stage); // the root of the name
            ChordCard fingers = *chord;
            fingers.label = {};
            expect_at_least(labels_of(fingers, stage), 11, stage);
        } else if (std::holds_alternative<NextChordCard>(content)) {
            expect_at_least({labels.front()}, 11, stage);
        } else if (std::holds_alternative<CountIn>(content)) {
            expect_at_least(labels, 11, stage);
        } else if (std::holds_alternative<BarRibbon>(content)) {
            std::vector<Label> roots;
            std::ranges::copy_if(labels, std::back_inserter(roots), [](auto& label) { return is_a_root(label.text); });
            expect_at_least(roots, 11, stage);
            for (Label const& root : roots)
                EXPECT_NEAR(root.em, roots.front().em, 1e-6) << "one size in a row: " << root.text;
        }
    });
}

TEST(Sizes, FingerNumbersAndTheNumberOfTheCapoAreAsLargeAsThat)
{
    Stage stage{400, 225, 400, 225};
    stage.capo = 7;
    int numbers = 0;
    for (Label const& label : labels_of(ChordCard{{}, samples::kFullF, {0}, {}}, stage)) {
        EXPECT_GE(label.em, 11) << label.text;
        numbers += std::string{"12347"}.find(label.text) != std::string::npos ? 1 : 0;
    }
    EXPECT_EQ(numbers, 5) << "four fingers and the capo";
}

// Widths are measured as Pango sets them.
TEST(BarFit, NamesNeedNoMoreRoomThanIsReckonedForThem)
{
    Surface const surface{cairo_image_surface_create(CAIRO_FORMAT_ARGB32, 8, 8)};
    Context const cr{cairo_create(surface.get())};
    Type const type{*cr, "Inter"};
    for (ChordLabel const& label : {ChordLabel{"C", "", ""},
                                    {"F", "maj7", ""},
                                    {"G", "", "B"},
                                    {"F\u266Fm", "7\u266D5", ""},
                                    {"B\u266Dm", "maj13\u266F11", "F\u266F"},
                                    {"Am", "7", ""},
                                    {"Esus4", "", ""},
                                    {"Gadd9", "", ""},
                                    {"Dm", "6/9", "A"},
                                    {"N.C.", "", ""},
                                    {"easy F", "", ""},
                                    {"C\u00B0", "7", ""},
                                    {"\u041F\u0440", "", ""}}) {
        ChordNameStyle const style{11, Weight::bold, {}, {}, 8.5};
        double const width = chord_name_width(type, label, style) / 11 * 100;
        EXPECT_GE(estimated_width(label), width - 1) << label.base << label.raised;
        EXPECT_LE(estimated_width(label), 1.5 * width + 8) << label.base << label.raised;
    }
}

TEST(BarFit, ArrangesBarsByTheirMostCrowdedOne)
{
    EXPECT_EQ(arrange_bars(200, 15.5, 0.55, 2), (BarRows{4, 1}));
    EXPECT_EQ(arrange_bars(500, 15.5, 0.55, 2), (BarRows{2, 2}));
    EXPECT_EQ(arrange_bars(500, 15.5, 0.55, 1), (BarRows{2, 1}));
    EXPECT_EQ(arrange_bars(1200, 15.5, 0.55, 2), (BarRows{1, 2}));
    EXPECT_EQ(arrange_bars(4000, 15.5, 0.55, 2), (BarRows{1, 1}));
}

// A name stands on its beat unless the name before it is still there, and never past the end of its bar.
TEST(BarFit, SetsNamesOnTheirBeats)
{
    std::vector<RibbonChord> const two{{{"C", "", ""}, 2}, {{"G", "", ""}, 2}};
    EXPECT_EQ(name_places(two, 4, {10, 10}, 100, 3), (std::vector<double>{0, 50}));
    EXPECT_EQ(name_places(two, 4, {70, 10}, 100, 3), (std::vector<double>{0, 73}));
    EXPECT_EQ(name_places(two, 4, {10, 60}, 100, 3), (std::vector<double>{0, 40}));
}

/// Where the names of a bar begin, by the bar's root.
std::vector<double> places_of(BarRibbon const& ribbon, Stage const& stage, std::string const& root)
{
    std::vector<double> places;
    for (Label const& label : labels_of(ribbon, stage))
        if (label.text == root)
            places.push_back(label.left);
    return places;
}

TEST(Ribbon, ABarStaysWhereItIsWhileOthersArePlayed)
{
    std::vector<RibbonBar> bars;
    std::string const roots = "ABCDEFGABCDE";
    for (int number = 1; number <= 12; ++number)
        bars.push_back({number, 4, {{{roots.substr(static_cast<std::size_t>(number - 1), 1), "", ""}, 4}}});
    for (RectPx const size : kPictures)
        for (int const crowding : {80, 450, 1100}) {
            Stage const stage{size.width, size.height, size.width, size.height};
            std::vector<double> seen(13, -1);
            for (int number = 1; number <= 9; ++number) {
                BarRibbon ribbon{{bars.begin() + number - 1, bars.begin() + number + 3}, 0, 4, 12, crowding, ""};
                for (RibbonBar const& bar : ribbon.bars) {
                    auto const places = places_of(ribbon, stage, bar.chords[0].label.base);
                    if (places.empty())
                        continue; // the row has room for fewer
                    auto& place = seen[static_cast<std::size_t>(bar.number)];
                    if (place >= 0) {
                        EXPECT_NEAR(places.front(), place, 1e-6) << "bar " << bar.number;
                    }
                    place = places.front();
                }
            }
        }
}

// The demo's bars (F / G / at most) are seen two ahead at least in each of the five shapes.
TEST(Ribbon, ShowsTheNextTwoBars)
{
    for (RectPx const size : kPictures)
        for (int corner = 0; corner < kCorners; ++corner) {
            Stage stage{size.width, size.height, size.width, size.height};
            stage.corner = static_cast<Corner>(corner);
            BarRibbon ribbon = samples::ribbon(5, 0);
            ribbon.part = "";
            int roots = 0;
            for (Label const& label : labels_of(ribbon, stage))
                roots += label.text == "C" || label.text == "G" || label.text == "F" ? 1 : 0;
            EXPECT_EQ(roots, 6) << size.width << "x" << size.height << ", corner " << corner;
        }
}

} // namespace
} // namespace tabard::overlay
