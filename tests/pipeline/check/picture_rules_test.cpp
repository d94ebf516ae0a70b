// The rules that look at pictures, on surveys made by hand: what moves, where a face is, what flashes.
#include "pipeline/check/place.h"
#include "pipeline/check/rules/rules.h"
#include "pipeline/cues/reader.h"
#include "tests/support/run_program.h"

#include <random>
#include <utility>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

constexpr Time seconds(double count) { return from_seconds(count); }

/// A film of a minute with one talk (a chord from 0:02 to 0:20) and one played part (0:30 to 0:46).
struct Film {
    Lesson lesson;
    Timeline timeline;
    PictureFacts pictures;

    explicit Film(std::string const& more = "")
        : lesson(read(more)), timeline(Timeline::resolve(lesson, {{}, seconds(60), {25, 1}}))
    {
        pictures.corner = corner_of(*lesson.placement);
        pictures.survey.seconds.resize(60);
        for (auto& second : pictures.survey.seconds)
            second.moving_seen = second.light_seen = true;
    }
    static Lesson read(std::string const& more)
    {
        auto const reading = parse_lesson(R"({"tabard": 1, "title": "T", "footage": "x.mp4", "capo": 4, )" + more + R"(
            "sections": [
              {"name": "Talk", "from": "0:00", "to": "0:20", "show": [{"chord": "C", "from": "0:02"}]},
              {"name": "Song", "from": "0:30", "to": "0:46", "tempo": 60, "bars": "C | G | Am | F"}]})",
                                          "lesson.json");
        EXPECT_TRUE(reading.usable());
        return *reading.lesson;
    }
    /// Something moves in these cells, all the time.
    void move(int left, int top, int width, int height)
    {
        for (auto& second : pictures.survey.seconds)
            for (int y = top; y < top + height; ++y)
                for (int x = left; x < left + width; ++x)
                    second.motion[static_cast<std::size_t>(y * kGridSide + x)] = 80; // ten codes
    }
    std::vector<Finding> find(Rule const& rule)
    {
        auto covers = covering(pictures.survey, timeline, stage_of(lesson, {1920, 1080}), overlay::default_theme());
        EXPECT_TRUE(covers);
        pictures.covers = *covers;
        return rule.find({lesson, timeline, nullptr, &pictures});
    }
};

// The chord card begins in the corner of the safe area, 5 % (2.4 cells) in, and is 352 x 484 units of 1920 x 1080
// large: cells 3 to 11 across and 3 to 23 down. The other corners are free of it.
TEST(CoversHands, IsFoundOnceAndTheFreeCornerNamed)
{
    Film film;
    film.move(4, 8, 5, 6);
    auto const findings = film.find(kCoversHands);
    ASSERT_THAT(findings, SizeIs(2)); // both sections
    EXPECT_EQ(findings[0].code, "covers-hands");
    EXPECT_THAT(findings[0].what, HasSubstr("'Talk'"));
    EXPECT_THAT(findings[0].fix, testing::AnyOf(HasSubstr("top-right"), HasSubstr("bottom-")));
    EXPECT_GT(findings[0].at.line, 0);
}

TEST(CoversHands, IsNotFoundWhereHandsAreInTheMiddleOrTheOverlaysElsewhere)
{
    Film middle;
    middle.move(22, 20, 5, 6);
    EXPECT_THAT(middle.find(kCoversHands), IsEmpty());
    Film moved{R"("placement": "top-right",)"};
    moved.move(4, 8, 5, 6);
    EXPECT_THAT(moved.find(kCoversHands), IsEmpty());
}

TEST(CoversHands, SaysSoWhereNoCornerIsFree)
{
    Film film;
    for (auto const& [left, top] : {std::pair{4, 5}, {39, 5}, {4, 29}, {39, 29}}) // under the card in each corner
        film.move(left, top, 5, 14);
    auto const findings = film.find(kCoversHands);
    ASSERT_THAT(findings, SizeIs(2)); // both sections
    for (auto const& finding : findings)
        EXPECT_THAT(finding.fix, HasSubstr("no corner"));
}

// WCAG 2.x, 1.4.3: 4.5:1 passes. #777777 has 4.4781 to white, #767676 has 4.5422 (see colour_test.cpp).
TEST(LowContrast, IsFoundBelowFourAndAHalfToOneAndNotAbove)
{
    Film film;
    film.pictures.survey.contrasts = {{0, seconds(4), 4.4781}, {1, seconds(40), 4.5422}};
    auto const findings = film.find(kLowContrast);
    ASSERT_THAT(findings, SizeIs(1));
    EXPECT_EQ(findings[0].code, "low-contrast");
    EXPECT_EQ(findings[0].severity, Severity::warning);
    EXPECT_EQ(findings[0].time, seconds(4));
    EXPECT_EQ(findings[0].at, film.lesson.sections[0].at);
    EXPECT_THAT(findings[0].what, HasSubstr("'Talk'"));
    EXPECT_THAT(findings[0].what, HasSubstr("4.47:1"));
    film.pictures.survey.contrasts[0].ratio = 4.5;
    EXPECT_THAT(film.find(kLowContrast), IsEmpty());
}

TEST(CoversFace, IsFoundAtTheFaceThatIsHidden)
{
    Film film;
    film.pictures.survey.faces = {{seconds(4), {0.45, 0.2, 0.1, 0.2}}, {seconds(8), {0.08, 0.1, 0.1, 0.2}}};
    auto const findings = film.find(kCoversFace);
    ASSERT_THAT(findings, SizeIs(1));
    EXPECT_EQ(findings[0].time, seconds(8));
    film.pictures.survey.faces.pop_back();
    EXPECT_THAT(film.find(kCoversFace), IsEmpty());
}

TEST(BlackPicture, IsFoundUnderACueAndNotWhereNothingIsShown)
{
    Film film;
    film.pictures.survey.black = {{seconds(10), seconds(12)}, {seconds(22), seconds(28)}};
    auto const findings = film.find(kBlackPicture);
    ASSERT_THAT(findings, SizeIs(1));
    EXPECT_EQ(findings[0].time, seconds(10));
    EXPECT_THAT(findings[0].what, HasSubstr("chord 'C'"));
}

TEST(FrozenPicture, IsFoundUnderPlayedChordsAndNotInATalk)
{
    Film film;
    film.pictures.survey.frozen = {{seconds(3), seconds(9)}, {seconds(31), seconds(34)}};
    auto const findings = film.find(kFrozenPicture);
    ASSERT_THAT(findings, SizeIs(1));
    EXPECT_EQ(findings[0].time, seconds(31));
}

TEST(Flashing, OfOverlaysIsAnErrorAndOfFootageAWarning)
{
    Film film;
    EXPECT_THAT(film.find(kFlashingOverlays), IsEmpty());
    EXPECT_THAT(film.find(kFlashingFootage), IsEmpty());
    film.pictures.survey.film_flashes = {{seconds(3), seconds(5), false, 0.1}};
    film.pictures.survey.footage_flashes = {{seconds(50), seconds(55), true, 0.4}};
    auto const overlays = film.find(kFlashingOverlays);
    ASSERT_THAT(overlays, SizeIs(1));
    EXPECT_EQ(overlays[0].severity, Severity::error);
    auto const footage = film.find(kFlashingFootage);
    ASSERT_THAT(footage, SizeIs(1));
    EXPECT_EQ(footage[0].severity, Severity::warning);
    EXPECT_THAT(footage[0].what, HasSubstr("flashes red"));
    EXPECT_THAT(footage[0].what, HasSubstr("40 %"));
}

TEST(CornerJumps, IsFoundBetweenNeighboursAndNotAfterAPause)
{
    auto const jumps = [](std::string const& second_begins) {
        auto const reading = parse_lesson(R"({"tabard": 1, "title": "T", "footage": "x.mp4", "sections": [
              {"name": "A", "from": "0:00", "to": "0:20", "show": [{"chord": "C", "from": "0:02"}]},
              {"name": "B", "from": ")" + second_begins +
                                              R"(", "to": "0:40", "placement": "bottom-right",
               "show": [{"chord": "G", "from": "0:30"}]}]})",
                                          "lesson.json");
        auto const timeline = Timeline::resolve(*reading.lesson, {{}, seconds(60), {25, 1}});
        return kCornerJumps.find({*reading.lesson, timeline});
    };
    auto const findings = jumps("0:21");
    ASSERT_THAT(findings, SizeIs(1));
    EXPECT_THAT(findings[0].what, HasSubstr("from top-left to bottom-right"));
    EXPECT_THAT(jumps("0:22"), IsEmpty());
    // Four beats at 60 are counted from 0:21 on.
    EXPECT_THAT(jumps(R"(0:25", "tempo": 60, "bars": "C", "count_in": 1, "note": ")"), SizeIs(1));
    EXPECT_THAT(jumps(R"(0:26", "tempo": 60, "bars": "C", "count_in": 1, "note": ")"), IsEmpty());
}

TEST(BestCorner, IsTheFreeOneAndTheCurrentOneWhereItMakesNoDifference)
{
    Film film;
    film.move(4, 8, 5, 6);
    auto const covers = covering(film.pictures.survey, film.timeline, stage_of(film.lesson, {1920, 1080}),
                                 overlay::default_theme(), Corners::all);
    EXPECT_NE(best_corner(*covers, overlay::Corner::top_left), overlay::Corner::top_left);
    Film middle;
    middle.move(22, 20, 5, 6);
    auto const free = covering(middle.pictures.survey, middle.timeline, stage_of(middle.lesson, {1920, 1080}),
                               overlay::default_theme(), Corners::all);
    EXPECT_EQ(best_corner(*free, overlay::Corner::bottom_left), overlay::Corner::bottom_left);
}

// Compact corners hide less since they leave out the strum: that is no reason to take one while a whole one is free.
TEST(BestCorner, IsACompactOneOnlyWhereAllOthersAreInTheWay)
{
    SectionCover section{0, Time{0}, from_seconds(10), overlay::Corner::top_left, {}};
    for (auto& cover : section.corners)
        cover = CornerCover{0.5, 0, Time{0}};
    auto const set = [&](overlay::Corner corner, double hands) {
        section.corners[static_cast<std::size_t>(corner)]->hands = hands;
    };
    set(overlay::Corner::compact_top_right, 0);
    EXPECT_EQ(best_corner({section}, overlay::Corner::top_left), overlay::Corner::compact_top_right);
    set(overlay::Corner::bottom_left, 0.1);
    EXPECT_EQ(best_corner({section}, overlay::Corner::top_left), overlay::Corner::bottom_left);
    EXPECT_EQ(best_corner({section}, overlay::Corner::compact_top_left), overlay::Corner::compact_top_right)
        << "who chose a compact one keeps it";
}

TEST(Placement, IsWrittenIntoTheCueFileAndAllElseStays)
{
    tests::TemporaryFolder const folder;
    auto const file = folder / "lesson.json";
    tests::write_text(file, R"({"tabard": 1, "title": "T", "note": "mine", "footage": "x.mp4", "strange": [1, 2],
  "sections": [{"name": "Talk", "from": "0:00", "to": "0:20", "note": "hers"}]})");
    ASSERT_TRUE(write_placements(*read_lesson(file)->lesson, {{std::nullopt, overlay::Corner::bottom_right}}, {file}));
    auto const first = read_lesson(file);
    ASSERT_TRUE(first && first->lesson);
    EXPECT_EQ(*first->lesson->placement, Placement::bottom_right);
    auto const text = tests::read_text(file);
    for (auto const* const kept : {"\"mine\"", "\"hers\"", "\"strange\"", "\"title\": \"T\""})
        EXPECT_THAT(text, HasSubstr(kept));
    ASSERT_TRUE(write_placements(*first->lesson, {{std::nullopt, overlay::Corner::top_right}}, {file}));
    EXPECT_EQ(*read_lesson(file)->lesson->placement, Placement::top_right);
    EXPECT_EQ(tests::read_text(file).size(), text.size() - std::string{"bottom"}.size() + std::string{"top"}.size());
}

// The first section does not say when it begins, so the lesson leaves it out: the second is the lesson's first.
TEST(Placement, OfASectionIsWrittenIntoThatSectionAndAllElseStays)
{
    tests::TemporaryFolder const folder;
    auto const file = folder / "lesson.json";
    tests::write_text(file, R"({"tabard": 1, "title": "T", "footage": "x.mp4",
  "sections": [{"name": "Lost", "note": "when?"},
    {"name": "Talk", "from": "0:00", "to": "0:20", "placement": "top-left", "note": "hers"},
    {"name": "Song", "from": "0:30", "tempo": 60, "placement": "top-left", "bars": "C"}]})");
    auto const lesson = *read_lesson(file)->lesson;
    ASSERT_THAT(lesson.sections, SizeIs(2));
    auto const before = *read_document(file);
    ASSERT_TRUE(write_placements(lesson, {{0, overlay::Corner::bottom_right}}, {file}));
    auto expected = before;
    expected.find("sections")->items[1].set("placement", JsonValue::string("bottom-right"));
    EXPECT_EQ(*read_document(file), expected);
}

TEST(Placement, IsNotWrittenIntoAFileThatChangedAfterItWasLookedAt)
{
    tests::TemporaryFolder const folder;
    auto const file = folder / "lesson.json";
    char const* const text =
        R"({"tabard": 1, "title": "T", "footage": "x.mp4", "sections": [{"name": "a", "from": 0}]})";
    tests::write_text(file, text);
    Inputs const inputs{file};
    auto const lesson = *read_lesson(file)->lesson;
    std::string const edited = std::string(text) + "\n";
    tests::write_text(file, edited);
    auto const written = write_placements(lesson, {{std::nullopt, overlay::Corner::top_right}}, inputs);
    ASSERT_FALSE(written);
    EXPECT_THAT(written.error().what, HasSubstr("changed while it was read; nothing was written"));
    EXPECT_EQ(tests::read_text(file), edited);
}

TEST(BetterCorners, AreFoundForTheLessonAndForASectionThatPlacesItself)
{
    Film film;
    film.move(4, 8, 5, 6); // where the lesson's chord card is, and the song's own would be free
    film.lesson.sections[1].placement = Sourced<Placement>{Placement::bottom_right, {}};
    film.timeline = Timeline::resolve(film.lesson, {{}, seconds(60), {25, 1}});
    auto const stage = stage_of(film.lesson, {1920, 1080});
    film.pictures.covers =
        *covering(film.pictures.survey, film.timeline, stage, overlay::default_theme(), Corners::all);
    auto better = better_corners(film.lesson, film.pictures);
    ASSERT_THAT(better, SizeIs(1));
    EXPECT_EQ(better[0].section, std::nullopt);
    EXPECT_NE(better[0].corner, overlay::Corner::top_left);
    EXPECT_THAT(film.find(kCoversHands), SizeIs(1)) << "the talk alone";

    film.lesson.placement.value = Placement::bottom_right;
    film.lesson.sections[1].placement->value = Placement::top_left;
    film.pictures.corner = overlay::Corner::bottom_right;
    film.timeline = Timeline::resolve(film.lesson, {{}, seconds(60), {25, 1}});
    film.pictures.covers = *covering(film.pictures.survey, film.timeline, stage_of(film.lesson, {1920, 1080}),
                                     overlay::default_theme(), Corners::all);
    better = better_corners(film.lesson, film.pictures);
    ASSERT_THAT(better, SizeIs(1));
    EXPECT_EQ(better[0].section, 1);
    EXPECT_NE(better[0].corner, overlay::Corner::top_left);
    auto const findings = film.find(kCoversHands);
    ASSERT_THAT(findings, SizeIs(1));
    EXPECT_THAT(findings[0].fix, HasSubstr("in this part"));
}

// The advice of a finding and what --place writes come from one measure, and what was written stays.
TEST(BetterCorners, AreWhatFindingsAdviseAndNoneIsLeftWhereTheyWereWritten)
{
    std::mt19937 random(5);
    auto const below = [&random](int limit) { return static_cast<int>(random() % static_cast<unsigned>(limit)); };
    int advised = 0, placed = 0;
    for (int round = 0; round < 40; ++round) {
        SCOPED_TRACE(round);
        Film film;
        for (int spot = 0; spot < 1 + round % 6; ++spot)
            film.move(below(40), below(40), 3 + below(6), 3 + below(6));
        for (int face = 0; face < round % 3; ++face)
            film.pictures.survey.faces.push_back(
                {seconds(face == 0 ? 5 : 35), overlay::Box{below(80) / 100.0, below(80) / 100.0, 0.15, 0.2}});
        std::vector<Finding> findings;
        for (Rule const* rule : {&kCoversHands, &kCoversFace})
            for (Finding& finding : film.find(*rule))
                findings.push_back(std::move(finding));
        film.pictures.covers = *covering(film.pictures.survey, film.timeline, stage_of(film.lesson, {1920, 1080}),
                                         overlay::default_theme(), Corners::all);
        auto const better = better_corners(film.lesson, film.pictures);
        for (Finding const& finding : findings) {
            auto const word =
                better.empty() ? "corner is" : fmt::format("\"placement\": \"{}\"", placement_word(better[0].corner));
            EXPECT_THAT(finding.fix, HasSubstr(word));
            ++advised;
        }
        if (better.empty())
            continue;
        ++placed;
        Film after(fmt::format(R"("placement": "{}",)", placement_word(better[0].corner)));
        after.pictures.survey = film.pictures.survey;
        after.pictures.covers = *covering(after.pictures.survey, after.timeline, stage_of(after.lesson, {1920, 1080}),
                                          overlay::default_theme(), Corners::all);
        EXPECT_THAT(better_corners(after.lesson, after.pictures), IsEmpty());
    }
    EXPECT_GT(advised, 10);
    EXPECT_GT(placed, 5);
}

} // namespace
} // namespace tabard::pipeline
