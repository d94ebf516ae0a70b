// The demo lesson framed anew for upright and square pictures, by the checker's own measure of faces and moving hands.
#include "pipeline/check/picture/picture_facts.h"
#include "pipeline/cues/reader.h"
#include "tests/support/footage.h"
#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

struct Framing {
    char const* name;
    char const* crop; ///< width:height:x:y of the film's 1280 by 720
    SizePx size;
};

class DemoShapes : public testing::TestWithParam<Framing> {};

// A person would hardly notice 5 % of a face, or 15 % of what moves. (Our own limits: no published source.)
TEST_P(DemoShapes, LeaveFaceAndHandsFree)
{
    auto const media = tests::source_folder() / "sample_media";
    tests::TemporaryFolder const folder;
    auto const film = folder / "film.mp4";
    tests::make_footage(film, fmt::format("movie={},crop={}", (media / "lantern.mp4").string(), GetParam().crop),
                        {"-pix_fmt", "yuv420p", "-preset", "ultrafast"});
    auto lesson = read_lesson(media / "lantern.json").value().lesson.value();
    lesson.footage.value = film;
    MediaFacts facts;
    facts.duration = from_seconds(59.6);
    auto const timeline = Timeline::resolve(lesson, facts);
    auto const pictures = look_at_pictures(lesson, GetParam().size, timeline);
    ASSERT_TRUE(pictures) << pictures.error().what;
    EXPECT_FALSE(pictures->survey.faces.empty());
    double face = 0;
    double hands = 0;
    for (SectionCover const& section : pictures->covers) {
        face = std::max(face, section.here().face);
        hands = std::max(hands, section.here().hands);
    }
    EXPECT_LE(face, 0.05);
    EXPECT_LE(hands, 0.15);
    RecordProperty("face", fmt::format("{:.3f}", face));
    RecordProperty("hands", fmt::format("{:.3f}", hands));
    fmt::print("{}: {:.1f} % of the face, {:.1f} % of the hands\n", GetParam().name, 100 * face, 100 * hands);
}

INSTANTIATE_TEST_SUITE_P(, DemoShapes,
                         testing::Values(Framing{"tall", "404:720:432:0", {404, 720}},
                                         Framing{"square", "720:720:270:0", {720, 720}}),
                         [](auto const& framing) { return std::string{framing.param.name}; });

} // namespace
} // namespace tabard::pipeline
