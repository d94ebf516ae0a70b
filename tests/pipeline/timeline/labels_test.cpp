// Every word on every card that a lesson shows, at the size at which a phone shows its picture: 400 pixels wide.
#include "pipeline/cues/reader.h"
#include "pipeline/timeline/placement.h"
#include "pipeline/timeline/timeline.h"
#include "tests/overlay/drawing/label_recorder.h"
#include "tests/support/paths.h"

#include <set>
#include <string>
#include <utility>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using overlay::samples::Label;
using overlay::samples::labels_of;

/// Each layer that a lesson ever shows, once.
std::set<overlay::LayerContent> layers_of(Lesson const& lesson)
{
    MediaFacts facts;
    facts.duration = from_seconds(600);
    auto const timeline = Timeline::resolve(lesson, facts);
    std::set<overlay::LayerContent> layers;
    for (Time const instant : timeline.change_instants())
        for (overlay::Layer const& layer : timeline.scene_at(instant).layers)
            layers.insert(layer.content);
    return layers;
}

/// The least em of what a layer says to play, and of all else on it, in pixels of a phone.
struct Sizes {
    double played = 1000;
    double other = 1000;
};

/// With the letters alone that chord names begin with.
overlay::BarRibbon roots_of(overlay::BarRibbon ribbon)
{
    ribbon.part.clear();
    ribbon.bars_in_section = 0;
    for (auto& bar : ribbon.bars)
        for (auto& chord : bar.chords)
            chord.label.raised = chord.label.bass = "";
    return ribbon;
}

void add_sizes(Sizes& sizes, overlay::LayerContent const& content, overlay::Stage const& stage)
{
    auto const pixels = [&](Label const& label) { return label.em * 400 / stage.display_width; };
    auto const labels = labels_of(content, stage);
    for (Label const& label : labels)
        sizes.other = std::min(sizes.other, pixels(label));
    bool const named =
        std::holds_alternative<overlay::ChordCard>(content) || std::holds_alternative<overlay::NextChordCard>(content);
    if (named || std::holds_alternative<overlay::CountIn>(content))
        sizes.played = std::min(sizes.played, pixels(labels.front()));
    if (auto const* const chord = std::get_if<overlay::ChordCard>(&content)) {
        auto fingers = *chord;
        fingers.label = {};
        for (Label const& label : labels_of(fingers, stage))
            sizes.played = std::min(sizes.played, pixels(label));
    }
    if (auto const* const ribbon = std::get_if<overlay::BarRibbon>(&content))
        for (Label const& label : labels_of(roots_of(*ribbon), stage))
            if (static_cast<unsigned char>(label.text[0]) < 0x80) // accidentals are set a little smaller
                sizes.played = std::min(sizes.played, pixels(label));
}

// 16:9, 4:3, 1:1, 9:16 and 21:9 (64:27); the kinds of corners.
void expect_legible(Lesson const& lesson)
{
    auto const layers = layers_of(lesson);
    ASSERT_GT(layers.size(), 20U);
    for (auto const& [width, height] : {std::pair{1280, 720}, {960, 720}, {720, 720}, {720, 1280}, {1280, 540}})
        for (auto const corner : {overlay::Corner::top_left, overlay::Corner::compact_bottom_right}) {
            auto stage = stage_of(lesson);
            stage.display_width = stage.raster_width = width;
            stage.display_height = stage.raster_height = height;
            stage.corner = corner;
            Sizes sizes;
            for (auto const& content : layers)
                add_sizes(sizes, content, stage);
            EXPECT_GE(sizes.played, 11 - 1e-3) << width << "x" << height;
            EXPECT_GE(sizes.other, 8.5 - 1e-3) << width << "x" << height;
        }
}

TEST(Labels, OfTheDemoLessonAreLegibleOnAPhone)
{
    auto const reading = read_lesson(tests::source_folder() / "sample_media/lantern.json");
    ASSERT_TRUE(reading && reading->lesson);
    expect_legible(*reading->lesson);
}

// Four chords in a bar of twelve eighths, a letter on every stroke, long names, two languages, seven strings.
TEST(Labels, OfACrowdedLessonAreLegibleOnAPhone)
{
    auto const reading = parse_lesson(
        "{\"tabard\": 1, \"title\": \"\u041F\u0435\u0441\u043D\u044F and lantern\", \"footage\": \"f.mp4\", "
        "\"tuning\": \"B1 E2 A2 D3 G3 B3 E4\", \"capo\": 3, \"key\": \"Eb\", \"tempo\": 60, \"meter\": \"12/8\","
        "\"strums\": {\"s\": \"Rp 3i 2m 1a 2m 3i Rp 3i 2m 1a 2m 3i\"}, \"sections\": ["
        "{\"name\": \"\u041F\u0440\u0438\u043F\u0435\u0432, slowly and very freely\", \"from\": 10, \"count_in\": 1, "
        "\"strum\": \"s\", \"text\": \"Keep the ring finger down through all of this part, and count aloud.\", "
        "\"bars\": \"C#m7b5 F#7sus4 Bmaj9/D# Emadd9 | F#m7b5 G#7 C#m Aadd9/C# | C | N.C.\"}]}",
        "cues.json");
    ASSERT_TRUE(reading.lesson);
    expect_legible(*reading.lesson);
}

} // namespace
} // namespace tabard::pipeline
