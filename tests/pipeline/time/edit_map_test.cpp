#include "pipeline/time/edit_map.h"

#include <algorithm>
#include <map>
#include <optional>
#include <vector>

#include <gtest/gtest.h>
#include <rapidcheck.h>

// The laws are checked against a film as a row of numbered frames: a cut is then a row of frame numbers, and what a cut
// does to a cue can be counted frame by frame.
namespace tabard::pipeline {
namespace {

constexpr FrameRate kRate{30000, 1001};
Time frame(std::int64_t index) { return from_frame(index, kRate); }
Interval frames(std::int64_t from, std::int64_t to) { return {frame(from), frame(to)}; }

struct Shown {
    int frame = 0;
    Motion motion = Motion::forward;
    friend bool operator==(Shown, Shown) = default;
};
/// What each frame of the new film shows of the old one; none: new material.
using Row = std::vector<std::optional<Shown>>;

EditMap edit_map(Row const& row)
{
    std::vector<KeptSpan> spans;
    for (int at = 0; at < static_cast<int>(row.size()); ++at) {
        if (!row[static_cast<std::size_t>(at)])
            continue;
        Shown const shown = *row[static_cast<std::size_t>(at)];
        Interval const source =
            shown.motion == Motion::freeze ? frames(shown.frame, shown.frame) : frames(shown.frame, shown.frame + 1);
        spans.push_back({source, frames(at, at + 1), shown.motion});
    }
    return EditMap::create(spans).value();
}

Row row_of(EditMap const& map, int length)
{
    Row row(static_cast<std::size_t>(length));
    for (KeptSpan const& span : map.spans()) {
        std::int64_t const end = frame_at(span.target.to, kRate);
        for (std::int64_t at = frame_at(span.target.from, kRate); at < end; ++at) {
            Time const source = span.back(frame(span.motion == Motion::reverse ? at + 1 : at));
            row.at(static_cast<std::size_t>(at)) = Shown{static_cast<int>(frame_at(source, kRate)), span.motion};
        }
    }
    return row;
}

/// The whole range from the first trial on: rapidcheck begins with small numbers otherwise.
template <class T>
T any_of_range(T from, T to)
{
    return *rc::gen::resize(rc::kNominalSize, rc::gen::inRange<T>(from, to));
}

constexpr int kOldFrames = 40;
enum class With { forward_only, reverse, reverse_and_freeze };

/// Up to seven stretches of up to twelve frames, some of new material.
Row some_cut(With with, int old_frames = kOldFrames)
{
    Row row;
    int const stretches = any_of_range(0, 8);
    for (int i = 0; i < stretches; ++i) {
        int const length = any_of_range(1, 13);
        int const start = any_of_range(0, old_frames - length + 1);
        int const kind = any_of_range(0, 8);
        for (int n = 0; n < length; ++n) {
            if (kind == 0)
                row.push_back(std::nullopt);
            else if (kind == 1 && with != With::forward_only)
                row.push_back(Shown{start + length - 1 - n, Motion::reverse});
            else if (kind == 2 && with == With::reverse_and_freeze)
                row.push_back(Shown{start, Motion::freeze});
            else
                row.push_back(Shown{start + n, Motion::forward});
        }
    }
    return row;
}

Motion both(Motion a, Motion b)
{
    if (a == Motion::freeze || b == Motion::freeze)
        return Motion::freeze;
    return a == b ? Motion::forward : Motion::reverse;
}

Fate counted_fate(Row const& row, int from, int to)
{
    std::map<int, int> seen;
    int runs = 0;
    bool inside = false;
    for (auto const& shown : row) {
        bool const on = shown && shown->frame >= from && shown->frame < to;
        runs += on && !inside ? 1 : 0;
        inside = on;
        if (on)
            ++seen[shown->frame];
    }
    if (seen.empty())
        return Fate::lost;
    if (std::ranges::any_of(seen, [](auto const& entry) { return entry.second > 1; }))
        return Fate::repeated;
    if (runs > 1)
        return Fate::split;
    return static_cast<int>(seen.size()) == to - from ? Fate::moved : Fate::trimmed;
}

TEST(EditMap, IdentityChangesNothing)
{
    EXPECT_TRUE(rc::check([] {
        EditMap const identity = EditMap::identity(frame(kOldFrames));
        EditMap const cut = edit_map(some_cut(With::reverse_and_freeze));
        RC_ASSERT(identity.then(cut) == cut);
        Time const time{any_of_range<std::int64_t>(0, frame(kOldFrames).count())};
        RC_ASSERT(identity.map(time) == std::vector<Time>{time});
        if (cut.end() > Time{0})
            RC_ASSERT(cut.then(EditMap::identity(cut.end())) == cut);
    }));
}

TEST(EditMap, OneCutAfterAnotherEqualsTheirComposition)
{
    EXPECT_TRUE(rc::check([] {
        Row first = some_cut(With::reverse_and_freeze);
        for (int i = 0; i < 13; ++i)
            first.push_back(Shown{i, Motion::forward});
        Row const second = some_cut(With::reverse_and_freeze, static_cast<int>(first.size()));
        Row expected;
        for (auto const& shown : second) {
            auto const through = shown ? first[static_cast<std::size_t>(shown->frame)] : std::nullopt;
            expected.push_back(through ? std::optional{Shown{through->frame, both(through->motion, shown->motion)}}
                                       : std::nullopt);
        }
        EditMap const composed = edit_map(first).then(edit_map(second));
        RC_ASSERT(row_of(composed, static_cast<int>(second.size())) == expected);
    }));
}

TEST(EditMap, WhatSurvivesACutAndItsInverseIsUnchanged)
{
    EXPECT_TRUE(rc::check([] {
        Row const row = some_cut(With::reverse_and_freeze);
        Row expected(kOldFrames);
        for (auto const& shown : row)
            if (shown && shown->motion != Motion::freeze)
                expected[static_cast<std::size_t>(shown->frame)] = Shown{shown->frame, Motion::forward};
        EditMap const cut = edit_map(row);
        RC_ASSERT(row_of(cut.then(cut.inverse()), kOldFrames) == expected);
    }));
}

TEST(EditMap, EveryCueHasTheFateThatCountingItsFramesGives)
{
    EXPECT_TRUE(rc::check([] {
        Row const row = some_cut(With::reverse);
        EditMap const cut = edit_map(row);
        for (int from = 0; from < kOldFrames; from += 5) {
            int const to = any_of_range(from + 1, kOldFrames + 1);
            auto const pieces = cut.map(frames(from, to));
            RC_ASSERT(fate_of(frames(from, to), pieces) == counted_fate(row, from, to));
        }
    }));
}

TEST(EditMap, ThePiecesOfACueLieWithinItAndCoverAllThatIsShownOfIt)
{
    EXPECT_TRUE(rc::check([] {
        Row const row = some_cut(With::reverse_and_freeze);
        Interval const cue = frames(any_of_range(0, 20), any_of_range(20, kOldFrames + 1));
        Time total{0};
        for (KeptSpan const& piece : edit_map(row).map(cue)) {
            RC_ASSERT((piece.source.from >= cue.from && piece.source.to <= cue.to));
            total += piece.target.length();
        }
        std::int64_t const shown =
            std::ranges::count_if(row, [&](auto const& entry) { return entry && cue.contains(frame(entry->frame)); });
        RC_ASSERT(total == frame(shown));
    }));
}

// With speeds each step rounds to a flick (1.4 ns); the second map may stretch the rounding of the first by its own
// speed, here at most four times.
TEST(EditMap, SpeedsComposeToWithinAFewFlicks)
{
    EXPECT_TRUE(rc::check([] {
        auto const length = [] { return Time{any_of_range<std::int64_t>(1'000'000, 4'000'000)}; };
        Time const a = length(), b = length(), c = length();
        EditMap const first = EditMap::create({{{Time{0}, a}, {Time{7}, b + Time{7}}}}).value();
        EditMap const second = EditMap::create({{{Time{7}, b + Time{7}}, {Time{3}, c + Time{3}}}}).value();
        Time const time{any_of_range<std::int64_t>(0, a.count())};
        std::vector<Time> const steps = second.map(first.map(time).at(0));
        RC_ASSERT(steps.size() <= 1U);
        if (!steps.empty()) // else the last flick was rounded onto the end
            RC_ASSERT(std::abs((steps[0] - first.then(second).map(time).at(0)).count()) <= 5);
        Time const back = first.spans()[0].back(first.spans()[0].forth(time));
        RC_ASSERT(std::abs((back - time).count()) <= 3);
    }));
}

TEST(EditMap, AMistakeCutOutOfTheMiddleLeavesTheCueInOnePiece)
{
    EditMap const cut = EditMap::create({{frames(0, 40), frames(0, 40)}, {frames(60, 100), frames(40, 80)}}).value();
    EXPECT_EQ(fate_of(frames(0, 40), cut.map(frames(0, 40))), Fate::moved);
    EXPECT_EQ(fate_of(frames(30, 70), cut.map(frames(30, 70))), Fate::trimmed);
    EXPECT_EQ(fate_of(frames(42, 60), cut.map(frames(42, 60))), Fate::lost);
    EXPECT_EQ(cut.map(frame(70)), std::vector<Time>{frame(50)});
    EXPECT_EQ(cut.end(), frame(80));
}

TEST(EditMap, AMessagePutInSplitsTheCueAroundIt)
{
    EditMap const cut = EditMap::create({{frames(0, 40), frames(0, 40)}, {frames(40, 90), frames(140, 190)}}).value();
    EXPECT_EQ(fate_of(frames(30, 50), cut.map(frames(30, 50))), Fate::split);
    std::vector<KeptSpan> const expected{{frames(30, 40), frames(30, 40)}, {frames(40, 50), frames(140, 150)}};
    EXPECT_EQ(cut.map(frames(30, 50)), expected);
}

TEST(EditMap, AFreezeHoldsTheCueOfItsPicture)
{
    // Frame 20 is held for 17 frames and the film goes on from it.
    EditMap const cut = EditMap::create({{frames(0, 20), frames(0, 20)},
                                         {frames(20, 20), frames(20, 37), Motion::freeze},
                                         {frames(20, 50), frames(37, 67)}})
                            .value();
    EXPECT_EQ(cut.spans()[1].speed(), (Speed{0, 1}));
    EXPECT_EQ(fate_of(frames(15, 30), cut.map(frames(15, 30))), Fate::moved);
    EXPECT_EQ(cut.map(frames(15, 30)).back().target.to, frame(47));
    EXPECT_EQ(cut.map(frames(15, 20)).back().target.to, frame(20));
}

TEST(EditMap, ASpeedIsTheExactFractionOfTheTwoLengths)
{
    // 70 frames of the old film in 36 of the new one.
    EditMap const cut = EditMap::create({{frames(100, 170), frames(0, 36)}}).value();
    EXPECT_EQ(cut.spans()[0].speed(), (Speed{35, 18}));
    EXPECT_EQ(cut.map(frame(135)), std::vector<Time>{frame(18)});
}

TEST(EditMap, SeamsThatOnlyGoOnAreNoSeams)
{
    EditMap const cut = EditMap::create({{frames(10, 20), frames(0, 10)}, {frames(20, 35), frames(10, 25)}}).value();
    ASSERT_EQ(cut.spans().size(), 1U);
    EXPECT_EQ(cut.spans()[0], (KeptSpan{frames(10, 35), frames(0, 25)}));
}

TEST(EditMap, RefusesWhatNoFilmCanShow)
{
    EXPECT_FALSE(EditMap::create({{frames(0, 10), frames(0, 10)}, {frames(20, 30), frames(9, 19)}}));
    EXPECT_FALSE(EditMap::create({{frames(5, 5), frames(0, 10)}}));
    EXPECT_FALSE(EditMap::create({{frames(0, 10), frames(4, 4)}}));
    EXPECT_FALSE(EditMap::create({{frames(10, 0), frames(0, 10)}}));
    EXPECT_FALSE(EditMap::create({{{Time{0}, Time::max()}, frames(0, 10)}}));
    EXPECT_TRUE(EditMap::create({}));
}

} // namespace
} // namespace tabard::pipeline
