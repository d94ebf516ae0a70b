#include "pipeline/cues/writer.h"
#include "pipeline/desk/desk.h"
#include "pipeline/desk/music/moved_time.h"
#include "pipeline/desk/view/json.h"
#include "pipeline/render/scene_runs.h"
#include "tests/pipeline/desk/lesson_text.h"

#include <cstdint>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::HasSubstr;

Time ms(std::int64_t milliseconds) { return from_ticks(milliseconds, 1, 1000); }

FrameClock constant(FrameRate rate) { return FrameClock(MediaFacts{Time{0}, from_ticks(600, 1, 1), rate}); }

/// What is written once a time was moved; the error's words where it was refused.
std::string moved(std::string const& text, DocumentPath const& path, MoveTo to, FrameClock const& frames)
{
    LessonView const view = desk_view(text);
    auto const move = moved_time(view, path, to, frames);
    if (!move)
        return move.error().what;
    JsonValue document = view.file.document;
    auto const edits = parse_document(json_text(json_of(move->edits)));
    auto const done = apply_edits(document, *edits);
    EXPECT_TRUE(done) << done.error().what;
    return document_text(document, text);
}

/// Whether the first chord of the lesson is there in full on a frame.
bool chord_is_on(LessonView const& view, FrameClock const& frames, std::int64_t frame)
{
    Timeline const& timeline = view.drawn->opened.timeline;
    SceneRuns const runs = SceneRuns::of(timeline);
    SceneRun const* const run = runs.on_picture(frames.time_of(frame), frames.time_of(frame + 1));
    return run && run->scene == timeline.scene_at(timeline.chords().front().in);
}

FrameClock any_clock()
{
    if (*rc::gen::arbitrary<bool>())
        return constant(*rc::gen::element(FrameRate{24, 1}, FrameRate{24000, 1001}, FrameRate{25, 1}, FrameRate{30, 1},
                                          FrameRate{30000, 1001}, FrameRate{60000, 1001}, FrameRate{120, 1}));
    // A phone's: about 30 a second on a clock of 90 kHz, now and then one is missing.
    std::vector<Time> times;
    std::int64_t ticks = *rc::gen::inRange(0, 9000);
    for (int n = 0; n < 900; ++n) {
        times.push_back(from_ticks(ticks, 1, 90'000));
        ticks += 3000 + *rc::gen::inRange(-600, 600) + (*rc::gen::inRange(0, 20) == 0 ? 3000 : 0);
    }
    return FrameClock(std::make_shared<std::vector<Time> const>(std::move(times)), from_ticks(ticks, 1, 90'000));
}

RC_GTEST_PROP(MovedTime, AChordIsOnExactlyTheFrameItWasMovedTo, ())
{
    auto const frames = any_clock();
    std::string const form = *rc::gen::element<std::string>("\"0:01\"", "1.0", "\"1\"");
    auto const text = lesson_text(fmt::format(
        R"({{"name": "Talk", "from": "0:00", "to": "9:00", "show": [{{"chord": "C", "from": {}}}]}})", form));
    // Once the part's name is gone, which changes the scene as well.
    auto const frame = frames.on_screen_at(ms(5'000)) + *rc::gen::inRange<std::int64_t>(0, 300);
    // Anywhere nearer to this frame than to its neighbours.
    Time const before = (frames.time_of(frame) - frames.time_of(frame - 1)) / 2;
    Time const after = (frames.time_of(frame + 1) - frames.time_of(frame)) / 2;
    Time const to =
        frames.time_of(frame) - before + Time{1} + (before + after - Time{2}) * *rc::gen::inRange(0, 100) / 100;
    LessonView const view = desk_view(moved(text, {"sections", 0UL, "show", 0UL, "from"}, to, frames));
    RC_ASSERT(chord_is_on(view, frames, frame));
    RC_ASSERT(!chord_is_on(view, frames, frame - 1));
    // And on from there by frames.
    auto const steps = *rc::gen::inRange<std::int64_t>(-20, 9);
    LessonView const next = desk_view(moved(view.file.text, {"sections", 0UL, "show", 0UL, "from"}, steps, frames));
    RC_ASSERT(chord_is_on(next, frames, frame + steps));
    RC_ASSERT(!chord_is_on(next, frames, frame + steps - 1));
}

// 30000/1001: frame 100 begins at 100 * 1001 / 30000 = 3.336666... s.
TEST(MovedTime, KeepsTheFormOfTheAuthor)
{
    auto const frames = constant({30000, 1001});
    auto const text = [](std::string const& from) {
        return lesson_text(fmt::format(R"({{"name": "Talk", "from": {}, "text": "Hello"}})", from));
    };
    DocumentPath const path{"sections", 0UL, "from"};
    EXPECT_THAT(moved(text("1.5"), path, ms(3'330), frames), HasSubstr(R"("from": 3.337,)"));
    EXPECT_THAT(moved(text("\"1.5\""), path, ms(3'330), frames), HasSubstr(R"("from": "3.337")"));
    EXPECT_THAT(moved(text("\"0:01.5\""), path, ms(3'330), frames), HasSubstr(R"("from": "0:03.337")"));
    EXPECT_THAT(moved(text("\"0:01.5\""), path, ms(63'330), frames), HasSubstr(R"("from": "1:03.33)"));
}

// At 25 frames frame 88 is 3 s and 13 frames.
TEST(MovedTime, KeepsLabelsWithFrames)
{
    auto const text = lesson_text(R"({"name": "Talk", "from": "0:00:01:12", "text": "Hello"})", R"("title": "L",)");
    std::string labelled = text;
    labelled.replace(labelled.find("\"duration\""), 0, R"("rate": "25", )");
    DocumentPath const path{"sections", 0UL, "from"};
    EXPECT_THAT(moved(labelled, path, ms(3'530), constant({25, 1})), HasSubstr(R"("from": "0:00:03:13")"));
    EXPECT_THAT(moved(labelled, path, std::int64_t{-13}, constant({25, 1})), HasSubstr(R"("from": "0:00:00:24")"));
}

std::string const kThree = lesson_text(R"({"name": "Intro", "from": "0:02", "to": "0:10", "text": "Hello"},
    {"name": "Verse", "from": "0:10", "to": "0:18", "tempo": 120, "bars": "C | G | Am | F",
     "pins": [["1.1", "0:10"], ["3.1", "0:14.01"]], "show": [{"text": "x", "from": "0:12", "to": "0:13"}]},
    {"name": "Chorus", "from": "0:18", "to": "0:24", "tempo": 120, "bars": "F | G | C"})");

TEST(MovedTime, ASharedEdgeMovesForBothParts)
{
    auto const text = moved(kThree, {"sections", 1UL, "from"}, std::int64_t{-5}, constant({25, 1}));
    EXPECT_THAT(text, HasSubstr(R"("Intro", "from": "0:02", "to": "0:09.8")"));
    EXPECT_THAT(text, HasSubstr(R"("Verse", "from": "0:09.8", "to": "0:18")"));
}

TEST(MovedTime, TheMusicOfTheNextPartStaysWhereItIs)
{
    auto const frames = constant({25, 1});
    EXPECT_THAT(moved(kThree, {"sections", 1UL, "to"}, std::int64_t{-5}, frames),
                HasSubstr(R"("to": "0:17.8", "tempo": 120, "bars": "C | G | Am | F")"));
    EXPECT_THAT(moved(kThree, {"sections", 1UL, "to"}, std::int64_t{-5}, frames),
                HasSubstr(R"("from": "0:18", "to": "0:24")"));
    EXPECT_THAT(moved(kThree, {"sections", 1UL, "to"}, std::int64_t{5}, frames),
                HasSubstr("'Verse' cannot end after 'Chorus' begins"));
}

TEST(MovedTime, WhatWouldPassItsNeighboursIsRefused)
{
    auto const frames = constant({25, 1});
    EXPECT_THAT(moved(kThree, {"sections", 1UL, "to"}, ms(9'000), frames),
                HasSubstr("'Verse' cannot end before it begins"));
    EXPECT_THAT(moved(kThree, {"sections", 1UL, "from"}, ms(18'500), frames),
                HasSubstr("'Verse' cannot begin after its end"));
    EXPECT_THAT(moved(kThree, {"sections", 1UL, "from"}, ms(1'000), frames),
                HasSubstr("'Verse' cannot begin before 'Intro'"));
    EXPECT_THAT(moved(kThree, {"sections", 1UL, "pins", 0UL, 1UL}, ms(14'500), frames),
                HasSubstr("pin 1.1 must come before pin 3.1"));
    EXPECT_THAT(moved(kThree, {"sections", 1UL, "pins", 1UL}, ms(9'000), frames),
                HasSubstr("pin 3.1 must come after pin 1.1"));
    EXPECT_THAT(moved(kThree, {"sections", 1UL, "show", 0UL, "from"}, ms(13'500), frames),
                HasSubstr("the cue cannot begin after its end"));
    EXPECT_THAT(moved(kThree, {"sections", 1UL, "show", 0UL, "to"}, ms(11'500), frames),
                HasSubstr("the cue cannot end before it begins"));
    EXPECT_THAT(moved(kThree, {"sections", 0UL, "from"}, std::int64_t{-51}, frames),
                HasSubstr("the film has no frame there"));
}

TEST(MovedTime, ACueStaysInItsPartAndItsOrder)
{
    auto const text = lesson_text(R"({"name": "Talk", "from": "0:02", "to": "0:10", "show": [
        {"chord": "C", "from": "0:03"}, {"text": "hm", "from": "0:04"}, {"chord": "G", "from": "0:05"}]})");
    auto const frames = constant({25, 1});
    DocumentPath const first{"sections", 0UL, "show", 0UL, "from"}, last{"sections", 0UL, "show", 2UL, "from"};
    EXPECT_THAT(moved(text, first, ms(4'510), frames), HasSubstr(R"({"chord": "C", "from": "0:04.52"})"));
    EXPECT_THAT(moved(text, first, ms(5'000), frames), HasSubstr("the cue cannot pass 'G' (0:05.000)"));
    EXPECT_THAT(moved(text, last, ms(2'500), frames), HasSubstr("the cue cannot pass 'C'"));
    EXPECT_THAT(moved(text, first, ms(1'500), frames), HasSubstr("the cue would leave its part 'Talk'"));
    EXPECT_THAT(moved(text, last, ms(11'000), frames), HasSubstr("the cue would leave its part 'Talk'"));
}

// 14.01 s is no frame's time: it stays 10 ms behind one.
TEST(MovedTime, APartMovesWithAllItsTimes)
{
    std::string text = kThree;
    text.replace(text.find(R"("from": "0:18")"), 14, R"("from": "0:19")");
    auto const after = moved(text, {"sections", 1UL}, ms(10'560), constant({25, 1}));
    EXPECT_THAT(after, HasSubstr(R"("from": "0:10.56", "to": "0:18.56")"));
    EXPECT_THAT(after, HasSubstr(R"([["1.1", "0:10.56"], ["3.1", "0:14.57"]])"));
    EXPECT_THAT(after, HasSubstr(R"("from": "0:12.56", "to": "0:13.56")"));
    EXPECT_THAT(after, HasSubstr(R"("from": "0:02", "to": "0:10.56")")) << "the part before it touched it";
    EXPECT_THAT(moved(text, {"sections", 1UL}, ms(15'000), constant({25, 1})),
                HasSubstr("'Verse' cannot end after 'Chorus' begins"));
}

// 1001 steps of a frame forth and back at 30000/1001: rounded times must not drift.
TEST(MovedTime, ManySmallStepsDoNotDrift)
{
    auto const frames = constant({30000, 1001});
    std::string text = lesson_text(R"({"name": "Talk", "from": "0:02.002", "to": "0:04.004",
        "show": [{"text": "x", "from": "0:03.003"}]})");
    std::string const before = text;
    for (std::int64_t const step : {7, 7, 7, -3, -8, 11, -21})
        text = moved(text, {"sections", 0UL}, step, frames);
    EXPECT_EQ(text, before);
}

// The film of 24 s at 25 a second has the frames 0 to 599; the end of the film is no frame's begin.
TEST(MovedTime, APartMayEndWithTheFilm)
{
    FrameClock const frames(MediaFacts{Time{0}, ms(24'000), {25, 1}});
    EXPECT_THAT(moved(kThree, {"sections", 2UL, "to"}, std::int64_t{-1}, frames), HasSubstr(R"("to": "0:23.96")"));
    EXPECT_THAT(moved(kThree, {"sections", 2UL, "to"}, std::int64_t{1}, frames), HasSubstr("no frame there"));
    std::string text = moved(kThree, {"sections", 2UL, "to"}, std::int64_t{-1}, frames);
    EXPECT_THAT(moved(text, {"sections", 2UL, "to"}, ms(24'010), frames), HasSubstr(R"("to": "0:24")"));
}

std::string const kPaused = lesson_text(R"({"name": "Verse", "from": "0:02", "tempo": 120, "bars": "C | G | Am | F",
    "pins": [["1.1", "0:02"], ["3.1", "0:06 to 10.5"], ["4.1 to 5.1", "0:13"]]})");

TEST(MovedTime, BothEndsOfAPauseMoveAlone)
{
    auto const frames = constant({25, 1});
    DocumentPath const stops{"sections", 0UL, "pins", 1UL, 1UL}, goes_on{"sections", 0UL, "pins", 1UL, 1UL, "to"};
    EXPECT_THAT(moved(kPaused, stops, ms(7'010), frames), HasSubstr(R"(["3.1", "0:07 to 10.5"])"));
    EXPECT_THAT(moved(kPaused, stops, std::int64_t{-1}, frames), HasSubstr(R"(["3.1", "0:05.96 to 10.5"])"));
    EXPECT_THAT(moved(kPaused, goes_on, ms(9'010), frames), HasSubstr(R"(["3.1", "0:06 to 9"])"))
        << "in the form that it has";
    EXPECT_THAT(moved(kPaused, stops, ms(10'520), frames), HasSubstr("pin 3.1 must stop before it goes on (0:10.500)"));
    EXPECT_THAT(moved(kPaused, goes_on, ms(6'000), frames), HasSubstr("must go on after it stops at pin 3.1"));
    EXPECT_THAT(moved(kPaused, goes_on, ms(13'000), frames), HasSubstr("pin 3.1 must come before pin 4.1 (0:13.000)"));
    EXPECT_THAT(moved(kPaused, {"sections", 0UL, "pins", 2UL, 1UL}, ms(10'000), frames),
                HasSubstr("pin 4.1 must come after pin 3.1 (0:10.500)"));
    EXPECT_THAT(moved(kPaused, {"sections", 0UL, "pins", 2UL, 1UL}, ms(12'000), frames),
                HasSubstr(R"(["4.1 to 5.1", "0:12"])"));
}

TEST(MovedTime, APartMovesWithItsPauses)
{
    EXPECT_THAT(moved(kPaused, {"sections", 0UL}, ms(3'000), constant({25, 1})),
                HasSubstr(R"([["1.1", "0:03"], ["3.1", "0:07 to 11.5"], ["4.1 to 5.1", "0:14"]])"));
}

TEST(MovedTime, PlacesThatHoldNoTimeAreNotFound)
{
    auto const frames = constant({25, 1});
    for (DocumentPath const& path :
         {DocumentPath{}, DocumentPath{"sections"}, DocumentPath{"sections", 9UL},
          DocumentPath{"sections", 0UL, "name"}, DocumentPath{"sections", 1UL, "pins", 7UL},
          DocumentPath{"sections", 1UL, "pins", 0UL, 0UL}, DocumentPath{"sections", 1UL, "pins", 0UL, 1UL, "to"},
          DocumentPath{"sections", 1UL, "show", 0UL, "text"}, DocumentPath{"sections", 1UL, "show", 3UL, "from"},
          DocumentPath{"tempo", 0UL}}) {
        auto const move = moved_time(desk_view(kThree), path, ms(1000), frames);
        ASSERT_FALSE(move);
        EXPECT_EQ(move.error().kind, ErrorKind::not_found);
    }
}

} // namespace
} // namespace tabard::pipeline
