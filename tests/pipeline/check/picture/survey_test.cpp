#include "pipeline/check/picture/survey.h"
#include "pipeline/cues/reader.h"
#include "pipeline/media/read/probe.h"
#include "tests/support/footage.h"
#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <array>
#include <filesystem>
#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::IsEmpty;
using testing::SizeIs;

std::filesystem::path const kLantern = tests::source_folder() / "sample_media/lantern.mp4";

/// Surveys `footage` under the cues of `text`.
Survey survey_of(std::filesystem::path const& footage, std::string const& text, SurveyOptions const& options = {},
                 overlay::Theme const& theme = overlay::default_theme())
{
    auto const reading = parse_lesson(text, footage.parent_path() / "cues.json");
    auto const info = probe_film(footage);
    EXPECT_TRUE(reading.usable() && info);
    MediaFacts const facts{info->video->start, info->video->start + info->video->duration, info->video->rate};
    auto const timeline = Timeline::resolve(*reading.lesson, facts);
    overlay::Stage const stage{.display_width = info->video->displayed.width,
                               .display_height = info->video->displayed.height};
    auto result = survey(footage, timeline, stage, theme, options);
    EXPECT_TRUE(result) << (result ? "" : result.error().what);
    return result ? *result : Survey{};
}

std::string const kNoCues = R"({"tabard": 1, "title": "t", "footage": "x.mp4",
                                  "sections": [{"name": "Talk", "from": 100000}]})";

std::filesystem::path footage(std::string const& name, std::string const& source)
{
    auto const path = std::filesystem::path{testing::TempDir()} / ("survey_" + name + ".mp4");
    tests::make_footage(path, source, {"-c:v", "libx264", "-preset", "ultrafast", "-g", "25", "-pix_fmt", "yuv420p"});
    return path;
}

// The drawn player's head lies at 44 to 55 % of the width and 12 to 34 % of the height (measured in the picture by
// hand), the playing hand moves at 36 to 48 % and 55 to 76 %.
TEST(Survey, FindsThePlayersFaceAndHandsInTheDemoLesson)
{
    auto const found = survey_of(kLantern, kNoCues);
    ASSERT_GE(found.faces.size(), 5U);
    for (auto const& face : found.faces) {
        EXPECT_NEAR(face.box.centre_x(), 0.49, 0.03);
        EXPECT_NEAR(face.box.centre_y(), 0.26, 0.05);
    }
    std::array<int, kGridCells> motion{};
    for (auto const& second : found.seconds)
        for (std::size_t i = 0; i < kGridCells; ++i)
            motion[i] += second.motion[i];
    auto const liveliest = std::max_element(motion.begin(), motion.end()) - motion.begin();
    EXPECT_GT(liveliest % kGridSide, 0.33 * kGridSide);
    EXPECT_LT(liveliest % kGridSide, 0.50 * kGridSide);
    EXPECT_GT(liveliest / kGridSide, 0.52 * kGridSide);
    EXPECT_LT(liveliest / kGridSide, 0.80 * kGridSide);
    EXPECT_THAT(found.black, IsEmpty());
    EXPECT_THAT(found.frozen, IsEmpty());
    EXPECT_THAT(found.footage_flashes, IsEmpty());
    EXPECT_THAT(found.notes, IsEmpty());
}

// WCAG 2.x, 2.3.1: four flashes a second of the whole picture fail, two pass.
TEST(Survey, FindsFlashingThatIsInTheFootage)
{
    auto const flashing = [&](int period) {
        return "color=black:s=192x108:r=24:d=3,geq=lum='if(lt(mod(N," + std::to_string(period) + ")," +
               std::to_string(period / 2) + "),235,16)':cb=128:cr=128";
    };
    EXPECT_THAT(survey_of(footage("four", flashing(6)), kNoCues).footage_flashes, SizeIs(1));
    EXPECT_THAT(survey_of(footage("two", flashing(12)), kNoCues).footage_flashes, IsEmpty());
}

// Windows begin every twelve seconds and last little more than one: flashing from 0:15 to 0:17 lies between them, where
// coded pictures are large.
TEST(Survey, FindsFlashingBetweenItsWindows)
{
    auto const film =
        footage("between", "color=gray:s=192x108:r=24:d=19,geq=lum='if(between(T,15,17)*lt(mod(N,6),3),235,"
                           "60)':cb=128:cr=128");
    auto const found = survey_of(film, kNoCues).footage_flashes;
    ASSERT_THAT(found, SizeIs(1));
    EXPECT_NEAR(to_seconds(found[0].in), 15, 0.5);
    EXPECT_NEAR(to_seconds(found[0].out), 17, 0.5);
}

// All-intra footage does not tell by its sizes where it may flash.
TEST(Survey, LooksAtEveryPictureWhereThatIsAskedFor)
{
    auto const path = std::filesystem::path{testing::TempDir()} / "survey_intra.mp4";
    tests::make_footage(path,
                        "color=gray:s=192x108:r=24:d=19,geq=lum='if(between(T,15,17)*lt(mod(N,6),3),235,60)':"
                        "cb=128:cr=128",
                        {"-g", "1", "-pix_fmt", "yuv420p"});
    SurveyOptions every;
    every.every_picture = true;
    EXPECT_THAT(survey_of(path, kNoCues).footage_flashes, IsEmpty());
    EXPECT_THAT(survey_of(path, kNoCues, every).footage_flashes, SizeIs(1));
}

/// A film of four groups of 25 pictures, with `bytes` over the middle of the picture that ffprobe finds at that many
/// seconds.
std::filesystem::path damaged(std::string const& name, std::string const& seconds, std::string (*bytes)(std::size_t))
{
    auto const path = std::filesystem::path{testing::TempDir()} / ("survey_" + name + ".mp4");
    tests::make_footage(path, "testsrc2=s=320x180:r=25:d=4",
                        {"-c:v", "libx264", "-profile:v", "baseline", "-g", "25", "-pix_fmt", "yuv420p"});
    for (std::string const& row : tests::ffprobe_rows(path, "packet=pts_time,size,pos")) {
        if (!row.starts_with(seconds + "0000,"))
            continue;
        auto const size_at = row.find(',') + 1;
        auto const size = std::stoul(row.substr(size_at));
        auto const at = std::stoul(row.substr(row.find(',', size_at) + 1));
        std::string content = tests::read_text(path);
        content.replace(at + size / 3, size / 3, bytes(size / 3));
        tests::write_text(path, content);
        return path;
    }
    ADD_FAILURE() << "no picture at " << seconds;
    return path;
}

/// What H.264 allows inside a picture: nothing shows it but decoding.
std::string noise(std::size_t size)
{
    std::string bytes;
    for (std::size_t i = 0; i < size; ++i)
        bytes += static_cast<char>(1 + (i * 2654435761U >> 13) % 255);
    return bytes;
}
std::string hole(std::size_t size) { return std::string(size, '\0'); }

// Each damaged picture is one of a hundred: those after it need it, and are decoded.
TEST(Survey, CountsDamagedPicturesOfThoseItDecodes)
{
    SurveyOptions every;
    every.every_picture = true;
    struct Row {
        char const* name;
        char const* seconds;
        std::string (*bytes)(std::size_t);
        std::int64_t of_keyframes;
        std::int64_t of_all;
    };
    for (Row const& row :
         {Row{"whole", "", nullptr, 0, 0}, Row{"noisy_key", "1.00", noise, 1, 1}, Row{"noisy", "1.48", noise, 0, 1},
          Row{"hollow_key", "2.00", hole, 1, 1}, Row{"hollow", "2.48", hole, 0, 1}}) {
        SCOPED_TRACE(row.name);
        bool const whole = row.of_all == 0;
        auto const film =
            whole ? footage("undamaged", "testsrc2=s=320x180:r=25:d=4") : damaged(row.name, row.seconds, row.bytes);
        EXPECT_EQ(survey_of(film, kNoCues).damaged_pictures, row.of_keyframes);
        EXPECT_EQ(survey_of(film, kNoCues, every).damaged_pictures, row.of_all);
    }
}

TEST(Survey, SeesTheSameWithAnyNumberOfJobs)
{
    auto const film = footage("jobs", "testsrc2=s=192x108:r=24:d=24");
    SurveyOptions options;
    options.allowance.jobs = 1;
    auto const one = survey_of(film, kNoCues, options);
    for (int const jobs : {2, 7}) {
        options.allowance.jobs = jobs;
        auto const found = survey_of(film, kNoCues, options);
        ASSERT_EQ(found.seconds.size(), one.seconds.size());
        for (std::size_t i = 0; i < one.seconds.size(); ++i) {
            EXPECT_EQ(found.seconds[i].motion, one.seconds[i].motion) << i;
            EXPECT_EQ(found.seconds[i].light, one.seconds[i].light) << i;
        }
        EXPECT_EQ(found.footage_flashes, one.footage_flashes);
        EXPECT_EQ(found.faces.size(), one.faces.size());
        EXPECT_EQ(found.windows, one.windows);
    }
}

// Nothing moves before 0:04 of eight seconds.
TEST(Survey, LooksAtAllOfAShortFilm)
{
    auto const found = survey_of(
        footage("late", "color=gray:s=192x108:r=25:d=8,geq=lum='if(gt(T,4)*between(X,60+40*mod(T,1),90+40*mod(T,1)),"
                        "200,90)':cb=128:cr=128"),
        kNoCues);
    int moved = 0;
    for (auto const& second : found.seconds)
        moved += *std::max_element(second.motion.begin(), second.motion.end());
    EXPECT_GT(moved, 0);
}

TEST(Survey, FindsBlackAndFrozenPictures)
{
    auto const black =
        survey_of(footage("black", "testsrc2=s=192x108:r=25:d=8,geq=lum='if(between(T,3,6),16,p(X,Y))':"
                                   "cb='if(between(T,3,6),128,p(X,Y))':cr='if(between(T,3,6),128,p(X,Y))'"),
                  kNoCues);
    ASSERT_THAT(black.black, SizeIs(1));
    EXPECT_NEAR(to_seconds(black.black[0].in), 3, 1); // keyframes are a second apart
    EXPECT_NEAR(to_seconds(black.black[0].out), 6, 1);
    EXPECT_THAT(black.frozen, IsEmpty());
    auto const frozen =
        survey_of(footage("frozen", "testsrc2=s=640x360:r=25:d=3,tpad=stop_mode=clone:stop_duration=5"), kNoCues);
    ASSERT_THAT(frozen.frozen, SizeIs(1));
    EXPECT_NEAR(to_seconds(frozen.frozen[0].in), 3, 1);
}

// Thirty seconds with a keyframe every ten: nothing moves from 0:12 to 0:15, and 0:23 to 0:24 is black.
TEST(Survey, FindsBlackAndFrozenPicturesBetweenKeyframes)
{
    auto const between = [](std::string const& name, std::string const& source) {
        auto const path = std::filesystem::path{testing::TempDir()} / ("survey_" + name + ".mp4");
        tests::make_footage(path, source,
                            {"-c:v", "libx264", "-preset", "ultrafast", "-crf", "12", "-g", "250", "-keyint_min", "250",
                             "-sc_threshold", "0", "-bf", "2", "-pix_fmt", "yuv420p"});
        return path;
    };
    std::string const moving = "testsrc2=s=320x180:r=25:d=30";
    auto const found =
        survey_of(between("still", moving + ",split[a][b];[a][b]freezeframes=first=300:last=374:replace=299,"
                                            "drawbox=c=black:t=fill:enable='between(n,575,599)'"),
                  kNoCues);
    ASSERT_THAT(found.frozen, SizeIs(1));
    EXPECT_NEAR(to_seconds(found.frozen[0].in), 12, 0.1);
    EXPECT_NEAR(to_seconds(found.frozen[0].out), 15, 0.1);
    ASSERT_THAT(found.black, SizeIs(1));
    EXPECT_NEAR(to_seconds(found.black[0].in), 23, 0.1);
    EXPECT_NEAR(to_seconds(found.black[0].out), 24, 0.1);
    auto const none = survey_of(between("moving", moving), kNoCues);
    EXPECT_THAT(none.frozen, IsEmpty());
    EXPECT_THAT(none.black, IsEmpty());
}

// A text that comes and goes five times a second: 20 cues of 0.1 s in four seconds, on a black picture. The card is
// light and larger than a quarter of a window.
TEST(Survey, FindsOverlaysThatFlash)
{
    std::string cues = R"({"tabard": 1, "title": "t", "footage": "x.mp4", "sections": [{"name": "A", "from": "0:00",
      "to": "0:05", "show": [)";
    for (int i = 0; i < 20; ++i)
        cues += (i ? "," : "") + std::string{R"({"text": "These words come and go and come and go on a large card")"} +
                R"(, "from": )" + std::to_string(1 + 0.2 * i) + R"(, "to": )" + std::to_string(1.1 + 0.2 * i) + "}";
    cues += "]}]}";
    auto const film = footage("plain", "color=black:s=192x108:r=25:d=6");
    auto const found = survey_of(film, cues);
    EXPECT_THAT(found.film_flashes, SizeIs(1));
    EXPECT_THAT(found.footage_flashes, IsEmpty());
}

// White text straight on the footage, which turns from #767676 to #777777: 4.5422 and 4.4781 to white by WCAG's
// formula. Sections of their own lie before and after the change; in the third nothing is shown.
TEST(Survey, MeasuresTheContrastOfTextOverTheFootageWhereTheCardLetsItThrough)
{
    std::string const cues = R"({"tabard": 1, "title": "", "footage": "x.mp4", "sections": [
        {"name": "A", "from": 0, "to": 2, "show": [{"text": "White on grey", "from": 0.5}]},
        {"name": "B", "from": 3, "to": 5, "show": [{"text": "White on grey", "from": 3.5}]},
        {"name": "", "from": 5, "to": 6}]})";
    auto const film = footage("greys", "color=0x767676:s=640x360:r=25:d=2,format=yuv420p[a];"
                                       "color=0x777777:s=640x360:r=25:d=4,format=yuv420p[b];[a][b]concat");
    overlay::Theme glass;
    glass.card = {0, 0, 0, 0};
    glass.ink = glass.soft_ink = {255, 255, 255};
    auto const found = survey_of(film, cues, {}, glass).contrasts;
    ASSERT_THAT(found, SizeIs(2));
    EXPECT_EQ(found[0].section, 0);
    EXPECT_NEAR(found[0].ratio, 4.5422, 0.001);
    EXPECT_EQ(found[1].section, 1);
    EXPECT_NEAR(found[1].ratio, 4.4781, 0.001);
    EXPECT_THAT(survey_of(film, cues).contrasts, IsEmpty()) << "the default theme is legible over anything";
}

} // namespace
} // namespace tabard::pipeline
