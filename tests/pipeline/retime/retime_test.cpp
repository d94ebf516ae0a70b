#include "pipeline/cues/reader.h"
#include "pipeline/cues/writer.h"
#include "pipeline/retime/plain_times.h"
#include "pipeline/retime/retime.h"
#include "pipeline/time/timecode.h"
#include "pipeline/timeline/resting.h"

#include <algorithm>
#include <array>
#include <map>
#include <numeric>
#include <set>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck.h>

namespace tabard::pipeline {
namespace {

using testing::HasSubstr;
using testing::Not;

// A lesson with every way to say a time: talk with open and closed cues, two things in one cue, a chart by tempo with a
// count-in, a chart by pins with talk before it, a meter of its own, a section without an end.
constexpr char const* kLesson = R"({
  "tabard": 1, "title": "Lantern on the Quay", "footage": "lantern.mp4", "note": "kept",
  "tuning": "E2 A2 D3 G3 B3 E4", "tempo": 60, "mystery": {"also": "kept"},
  "strums": {"slow": {"steps": "D - D U"}, "six": {"steps": "D U D U D U"}},
  "sections": [
    {"name": "Welcome", "note": "hello", "from": "0:00", "to": "0:04"},
    {"name": "The shapes", "from": "0:04",
     "show": [
       {"chord": "C", "from": "0:04.5", "note": "first"},
       {"chord": "G", "text": "watch the thumb", "from": "0:07"},
       {"strum": "slow", "from": "0:08", "to": "0:09.5"},
       {"chord": "Am", "from": "0:10", "to": "0:11"}
     ]},
    {"name": "Chorus", "from": "0:16", "count_in": 1, "strum": "slow", "bars": "C | G / Am / | F | C"},
    {"name": "Bridge", "meter": "6/8", "from": "0:33", "to": "0:45", "count_in": 0, "strum": "six",
     "pins": [["1.1", "0:35"], ["3.1", "0:39.1"], ["5.1", "0:42.7"]], "text": "slower here",
     "show": [{"chord": "Em", "from": "0:33.5"}], "bars": "Am | Em | F / / G / / | Am", "words": ["line one"]},
    {"name": "Good-bye", "from": "0:46", "show": [{"text": "rest", "from": "0:47"}]}
  ]
}
)";

// Pauses, a breath, skipped bars and both at once; a chord is explained in a pause.
constexpr char const* kPauses = R"({
  "tabard": 1, "title": "Lantern on the Quay", "footage": "lantern.mp4", "tempo": 60,
  "strums": {"slow": {"steps": "D - D U"}},
  "sections": [
    {"name": "Verse", "from": "0:03", "bars": "C | G | Am | F | C | G | Em | Dm",
     "pins": [["1.1", "0:04"], ["3.1", "0:12 to 0:17.5"], ["5.1 to 7.1", "0:25.5"], ["9.1", "0:33"]],
     "show": [{"chord": "E7", "from": "0:13", "to": "0:15"}, {"text": "the thumb stays", "from": "0:16"}]},
    {"name": "Bridge", "bars": "Am | F | C | G",
     "pins": [["1.1", "0:34 to 0:35.2"], ["2.3", "0:41 to 0:41.6"], ["3.3 to 4.1", "0:45 to 0:47"], ["5.1", "0:49.5"]]}
  ]
}
)";
constexpr int kSeconds = 50;
Time seconds(double value) { return from_seconds(value); }

struct Read {
    std::string text;
    JsonValue document;
    Lesson lesson;
    Timeline timeline;
};

Read read(std::string const& text, Time duration)
{
    LessonReading reading = parse_lesson(text, "lesson.json");
    for (Finding const& finding : reading.findings)
        // A cut may keep no part; the command refuses to write that.
        if (finding.severity == Severity::error && finding.what != "the lesson has no part")
            ADD_FAILURE() << finding.at.line << ":" << finding.at.column << " " << finding.what << "\n" << text;
    Timeline timeline = Timeline::resolve(*reading.lesson, {Time{0}, duration, {25, 1}});
    return {text, parse_document(text).value(), *reading.lesson, std::move(timeline)};
}

Read old_lesson() { return read(kLesson, seconds(kSeconds)); }

class RetimeOf : public testing::TestWithParam<char const*> {
protected:
    static Read old_lesson() { return read(GetParam(), seconds(kSeconds)); }
};
INSTANTIATE_TEST_SUITE_P(Lessons, RetimeOf, testing::Values(kLesson, kPauses));

struct Followed {
    Read film;
    RetimeReport report;
};

Followed through(Read const& old, EditMap const& cut, Time new_length = Time{0})
{
    Retimed baked = retime(old.document, old.lesson, old.timeline, cut, {new_length, "", {}});
    return {read(document_text(baked.document), std::max(new_length, cut.end())), baked.report};
}

bool is_due(Timeline const& timeline, overlay::LayerContent const& content, Time time)
{
    auto const covers = [time](auto const& span) { return span.in <= time && time < span.out; };
    if (std::holds_alternative<overlay::ChordCard>(content))
        return std::ranges::any_of(timeline.chords(), covers);
    if (std::holds_alternative<overlay::StrumLane>(content))
        return std::ranges::any_of(timeline.strums(), covers);
    if (std::holds_alternative<overlay::TextCard>(content))
        return std::ranges::any_of(timeline.texts(), covers);
    return std::ranges::any_of(timeline.sections(), [time](SectionSpan const& section) {
        return section.bars_in <= time && time < section.bars_out; // the bars
    });
}

/// What is on screen, without what may rightly differ next to a seam: fades, banners, what comes next, the capo line.
std::vector<overlay::LayerContent> shown_at(Timeline const& timeline, Time time)
{
    std::vector<overlay::LayerContent> result;
    for (overlay::Layer layer : timeline.scene_at(time).layers) {
        if (auto* const card = std::get_if<overlay::ChordCard>(&layer.content)) {
            card->staying.clear();
            card->coming.reset();
            card->alone = false; // a piece without its bars is a talk
        }
        if (auto* const lane = std::get_if<overlay::StrumLane>(&layer.content))
            lane->next_stroke.reset();
        bool const beside = std::holds_alternative<overlay::NextChordCard>(layer.content) ||
                            std::holds_alternative<overlay::SectionBanner>(layer.content) ||
                            std::holds_alternative<overlay::CountIn>(layer.content) ||
                            std::holds_alternative<overlay::CapoLine>(layer.content);
        if (!beside && is_due(timeline, layer.content, time))
            result.push_back(layer.content);
    }
    return result;
}

/// In a rest, what is left beside a single chord for less than a second goes with it; a cut may leave so little.
bool goes_with_single_chord(Timeline const& timeline, Time time)
{
    bool const rests = std::ranges::any_of(
        timeline.sections(), [&](SectionSpan const& span) { return span.map && rest_at(*span.map, time); });
    return rests && std::ranges::any_of(timeline.chords(), [&](ChordSpan const& chord) {
               return !chord.played && chord.in - time < kShortestRest && time - chord.out < kShortestRest;
           });
}

EditMap pieces(std::vector<std::array<double, 3>> const& list)
{
    std::vector<KeptSpan> spans;
    for (auto const& [from, to, at] : list)
        spans.push_back({{seconds(from), seconds(to)}, {seconds(at), seconds(at + to - from)}, Motion::forward});
    return EditMap::create(spans).value();
}

template <class T>
T any_of_range(T from, T to)
{
    return *rc::gen::resize(rc::kNominalSize, rc::gen::inRange<T>(from, to));
}

/// Up to six pieces with gaps of new material, at times that are no frame's.
EditMap any_cut()
{
    std::vector<KeptSpan> spans;
    Time at{any_of_range<std::int64_t>(0, 2) * seconds(1).count()};
    int const count = any_of_range(1, 7);
    for (int i = 0; i < count; ++i) {
        Time const from{any_of_range<std::int64_t>(0, seconds(kSeconds - 1).count())};
        Time const length{any_of_range<std::int64_t>(seconds(0.1).count(), seconds(25).count())};
        Interval const source{from, std::min(from + length, seconds(kSeconds))};
        spans.push_back({source, {at, at + source.length()}, Motion::forward});
        at += source.length() + (any_of_range(0, 2) == 0 ? Time{0} : seconds(1.5));
    }
    return EditMap::create(spans).value();
}

constexpr char const* kTwoVerses = R"({
  "tabard": 1, "title": "Lantern on the Quay", "footage": "lantern.mp4", "tempo": 60,
  "strums": {"slow": "D - D U", "fast": "D U D U"},
  "sections": [
    {"name": "Verse", "from": "0:10", "strum": "slow", "bars": "C | G", "words": ["one"]},
    VERSE_2,
    {"name": "Talk", "from": "0:40"}
  ]
})";

Read two_verses(std::string const& second)
{
    std::string text = kTwoVerses;
    return read(text.replace(text.find("VERSE_2"), 7, second), seconds(kSeconds));
}

TEST(Retime, ASectionStaysAsAnotherWhereThatIsKeptAndIsWrittenOutWhereItIsCutAway)
{
    Read const short_form = two_verses(R"({"as": "Verse", "from": "0:20", "to": "0:29", "text": "again"})");
    Read const long_form = two_verses(R"({"name": "Verse", "strum": "slow", "bars": "C | G", "words": ["one"], )"
                                      R"("from": "0:20", "to": "0:29", "text": "again"})");
    struct Row {
        EditMap cut;
        bool stays;
    };
    for (auto const& [cut, stays] : {
             Row{pieces({{0, 50, 3}}), true}, Row{pieces({{20, 50, 0}, {0, 20, 30}}), true}, // the first comes last
             Row{pieces({{0, 22, 0}, {24, 50, 22}}), true}, // the second is broken in two
             Row{pieces({{19, 50, 0}}), false},             // the first is cut away
             Row{pieces({{5, 9, 0}, {26, 50, 4}}), false},  // and so is the beginning of the second
         }) {
        Read const film = through(short_form, cut).film;
        Read const same = through(long_form, cut).film;
        EXPECT_EQ(film.text.find("\"as\": \"Verse\"") != std::string::npos, stays) << film.text;
        EXPECT_EQ(film.timeline.change_instants(), same.timeline.change_instants()) << film.text;
        for (Time const instant : same.timeline.change_instants())
            EXPECT_EQ(film.timeline.scene_at(instant), same.timeline.scene_at(instant)) << to_seconds(instant);
    }
}

// Frames of 30000/1001 are no whole milliseconds: 100 frames last 3.3366... s.
TEST(Retime, WritesTimesToTheMillisecondButLabelsWithFramesExactly)
{
    std::string const text =
        R"({"tabard": 1, "title": "t", "footage": "f.mp4", "tempo": 60, "made_for": {"rate": "30000/1001"},
  "sections": [{"name": "Talk", "from": "0:01", "to": "0:05.25",
     "show": [{"chord": "C", "from": "0:02"}, {"chord": "G", "from": "0:00:03:00", "to": "0:00:04:15"}]},
   {"name": "Verse", "from": "0:06", "pins": [["1.1", "0:06"], ["2.1", "0:10"]], "bars": "C | G"}]})";
    Read const old = read(text, seconds(20));
    Time const by = from_frame(100, {30000, 1001});
    auto const cut = EditMap::create({{{Time{0}, seconds(20)}, {by, by + seconds(20)}, Motion::forward}}).value();
    auto const exact = retime(old.document, old.lesson, old.timeline, cut, {Time{0}, "", {}}).document;
    auto const plain = with_plain_times(exact, old.document);
    auto const& talk = plain.find("sections")->items[0];
    EXPECT_EQ(talk.find("from")->text, "0:04.337") << "1 + 3.33667";
    EXPECT_EQ(talk.find("to")->text, "0:08.587") << "5.25 + 3.33667";
    auto const& cues = talk.find("show")->items;
    EXPECT_EQ(cues[0].find("from")->text, "0:05.337");
    EXPECT_EQ(parse_time(cues[1].find("from")->text).value(), from_frame(190, {30000, 1001})) << "90 + 100 frames";
    EXPECT_EQ(parse_time(cues[1].find("to")->text).value(), from_frame(235, {30000, 1001})) << "135 + 100 frames";
    auto const& pins = plain.find("sections")->items[1].find("pins")->items;
    EXPECT_EQ(pins[0].items[1].text, "0:09.337");
    EXPECT_EQ(pins[1].items[1].text, "0:13.337");
    EXPECT_EQ(with_plain_times(old.document, old.document), old.document);
}

// Half a millisecond would round to nothing.
TEST(Retime, KeepsTimesExactWhereTwoWouldBecomeOne)
{
    auto const document = parse_document(R"({"sections": [{"from": "0:01.0001", "to": "0:01.0004"},
  {"from": "0:02.0004", "to": "0:03", "show": [{"from": "0:02.5001", "to": "0:02.5002"}]},
  {"from": "0:04.0004", "pins": [["1.1", "0:05.0001"], ["1.2", "0:05.0003"]]}, {"from": "0:06.0004"}]})")
                              .value();
    auto const plain = with_plain_times(document, JsonValue::object({}));
    for (std::size_t i = 0; i < 3; ++i)
        EXPECT_EQ(plain.find("sections")->items[i], document.find("sections")->items[i]) << i;
    EXPECT_EQ(plain.find("sections")->items[3].find("from")->text, "0:06");
}

TEST_P(RetimeOf, ShowsOverEveryKeptPictureWhatWasShownOverIt)
{
    Read const old = old_lesson();
    EXPECT_TRUE(rc::check([&] {
        EditMap const cut = any_cut();
        Followed const result = through(old, cut);
        for (KeptSpan const& span : cut.spans()) {
            for (int i = 0; i < 40; ++i) {
                Time const time{any_of_range<std::int64_t>(span.target.from.count(), span.target.to.count())};
                RC_LOG() << "at " << print_time(time) << ", before at " << print_time_exact(span.back(time)) << "\n"
                         << result.film.text;
                RC_ASSERT((shown_at(result.film.timeline, time) == shown_at(old.timeline, span.back(time)) ||
                           goes_with_single_chord(result.film.timeline, time)));
            }
        }
    }));
}

TEST_P(RetimeOf, ShowsNothingOverNewMaterial)
{
    Read const old = old_lesson();
    EXPECT_TRUE(rc::check([&] {
        EditMap const cut = any_cut();
        Followed const result = through(old, cut, cut.end() + seconds(3));
        for (int i = 0; i < 60; ++i) {
            Time const time{any_of_range<std::int64_t>(0, (cut.end() + seconds(3)).count())};
            bool const kept = std::ranges::any_of(cut.spans(), [&](auto const& s) { return s.target.contains(time); });
            RC_ASSERT((kept || shown_at(result.film.timeline, time).empty()));
        }
    }));
}

TEST(Retime, EveryCueIsMovedTrimmedSplitRepeatedOrLostAndTheCountsAddUp)
{
    Read const old = old_lesson();
    std::size_t const cues = old.timeline.sections().size() + old.timeline.chords().size() +
                             old.timeline.strums().size() + old.timeline.texts().size() + 1; // one count-in
    EXPECT_TRUE(rc::check([&] {
        EditMap const cut = any_cut();
        Followed const result = through(old, cut);
        int total = 0;
        for (CueKind const kind : kCueKinds) {
            int of_kind = 0;
            for (Fate const fate : kFates)
                of_kind += result.report.count(kind, fate);
            RC_ASSERT(of_kind == result.report.count(kind));
            total += of_kind;
        }
        RC_ASSERT(static_cast<std::size_t>(total) == cues);
        for (RetimedCue const& cue : result.report.cues) {
            RC_ASSERT(cue.at.line > 0);
            RC_ASSERT((cue.fate == Fate::lost) == cue.after.empty());
            // All pieces run forwards, so only a count-in of which a part is left needs a reason.
            RC_ASSERT((cue.why.empty() || (cue.kind == CueKind::count_in && cue.fate == Fate::lost)));
        }
    }));
}

TEST_P(RetimeOf, ByTheInverseBringsBackWhatSurvived)
{
    Read const old = old_lesson();
    EXPECT_TRUE(rc::check([&] {
        EditMap const cut = any_cut();
        Followed const there = through(old, cut);
        Followed const back = through(there.film, cut.inverse());
        EditMap const survived = cut.then(cut.inverse());
        for (KeptSpan const& span : survived.spans()) {
            for (int i = 0; i < 20; ++i) {
                Time const time{any_of_range<std::int64_t>(span.target.from.count(), span.target.to.count())};
                RC_LOG() << "at " << print_time_exact(time) << "\n" << there.film.text << back.film.text;
                RC_ASSERT((shown_at(back.film.timeline, time) == shown_at(old.timeline, time) ||
                           goes_with_single_chord(back.film.timeline, time)));
            }
        }
    }));
}

TEST_P(RetimeOf, TheUncutFilmKeepsItsCueFile)
{
    Read const old = old_lesson();
    Retimed const same = retime(old.document, old.lesson, old.timeline, EditMap::identity(seconds(kSeconds)));
    EXPECT_EQ(document_text(same.document), document_text(old.document));
    EXPECT_EQ(std::ranges::count(same.report.cues, Fate::moved, &RetimedCue::fate), std::ssize(same.report.cues));
}

TEST(Retime, AMovedSectionKeepsItsFormItsNotesAndUnknownKeys)
{
    Read const old = old_lesson();
    Followed const result = through(old, pieces({{0, 50, 10}}));
    JsonValue const& document = result.film.document;
    EXPECT_EQ(document.find("note")->text, "kept");
    EXPECT_EQ(document.find("mystery")->find("also")->text, "kept");
    EXPECT_EQ(document.find("sections")->items[0].find("note")->text, "hello");
    JsonValue const& shapes = document.find("sections")->items[1];
    EXPECT_EQ(shapes.find("from")->text, "0:14");
    EXPECT_EQ(shapes.find("to"), nullptr) << "it still ends with the next section";
    EXPECT_EQ(shapes.find("show")->items[0].find("from")->text, "0:14.5");
    EXPECT_EQ(shapes.find("show")->items[0].find("note")->text, "first");
    EXPECT_EQ(shapes.find("show")->items[0].find("to"), nullptr);
    JsonValue const& chorus = document.find("sections")->items[2];
    EXPECT_EQ(chorus.find("from")->text, "0:26");
    EXPECT_EQ(chorus.find("pins"), nullptr);
    EXPECT_EQ(chorus.find("piece"), nullptr);
    EXPECT_EQ(document.find("sections")->items[3].find("pins")->items[1].items[1].text, "0:49.1");
}

TEST(Retime, PlacesOfPinsStayInTheWordsOfTheirAuthor)
{
    Read const old = read(R"({"tabard": 1, "title": "t", "footage": "f.mp4", "sections": [{"name": "Verse",
  "pins": [["1", "0:01"], ["2", "0:05"], ["3.1", "0:09"]], "bars": "C | G"}]})",
                          seconds(20));
    auto const pins = through(old, pieces({{0, 20, 3}})).film.document.find("sections")->items[0].find("pins")->items;
    ASSERT_EQ(pins.size(), 3U);
    EXPECT_EQ(pins[0].items[0].text, "1");
    EXPECT_EQ(pins[1].items[0].text, "2");
    EXPECT_EQ(pins[2].items[0].text, "3.1");
    EXPECT_EQ(pins[1].items[1].text, "0:08");
}

// The chorus plays bar n at 16 + 4 (n - 1) s: 0:22 is bar 2 beat 3.
TEST(Retime, ABrokenPartIsWrittenAsPiecesThatKnowTheirBars)
{
    Followed const result = through(old_lesson(), pieces({{0, 18, 0}, {22, 50, 28}}));
    auto const& sections = result.film.lesson.sections;
    ASSERT_EQ(sections.size(), 6U);
    EXPECT_EQ(*sections[2].name, "Chorus");
    EXPECT_EQ(sections[2].piece, (Piece{{1, 1, 0}, 1}));
    EXPECT_EQ(**sections[2].to, seconds(18));
    EXPECT_EQ(*sections[3].name, "Chorus");
    EXPECT_EQ(sections[3].piece, (Piece{{2, 3, 0}, 2}));
    EXPECT_EQ(**sections[3].from, seconds(28));
    EXPECT_EQ(sections[3].bars->value.text, "C | G / Am / | F | C") << "each piece carries the whole chart";
    EXPECT_EQ(sections[2].count_in, 1);
    EXPECT_EQ(sections[3].count_in, 0);
}

// Bars of five seconds from 0:10: 0:13 is beat 4 of bar 1, the first of the group of two.
TEST(Retime, EveryPieceOfAPartKeepsTheGroupsOfItsMeter)
{
    std::string const text =
        R"({"tabard": 1, "title": "t", "footage": "f.mp4", "tempo": 60, "meter": "4/4", "sections": [
        {"name": "Verse", "from": "0:10", "meter": "3+2/4", "bars": "C / / G / | Am"}]})";
    Followed const result = through(read(text, seconds(30)), pieces({{0, 11, 0}, {13, 30, 15}}));
    auto const& sections = result.film.lesson.sections;
    ASSERT_EQ(sections.size(), 2U);
    for (Section const& section : sections)
        EXPECT_EQ(section.meter->text(), "3+2/4");
    EXPECT_EQ(sections[1].piece, (Piece{{1, 4, 0}, 2}));
    EXPECT_THAT(result.film.text, HasSubstr("\"meter\": \"3+2/4\""));
}

TEST(Retime, ARepeatedPieceYieldsARepeatedSection)
{
    Followed const result = through(old_lesson(), pieces({{0, 33, 0}, {12, 33, 33}, {33, 50, 54}}));
    std::vector<int> numbers;
    for (Section const& section : result.film.lesson.sections)
        if (*section.name == "Chorus")
            numbers.push_back(section.piece ? section.piece->number : 0);
    EXPECT_EQ(numbers, (std::vector{1, 2})) << "so that paper shows the part once";
    EXPECT_EQ(result.report.count(CueKind::count_in, Fate::repeated), 1);
    EXPECT_GT(result.report.count(CueKind::chord, Fate::repeated), 3);
    EXPECT_EQ(result.report.count(CueKind::chord, Fate::lost), 0);
}

/// Whether the pieces of each part are counted from 1 in the order of the film; a part that is whole needs no number.
bool pieces_are_counted(Lesson const& lesson)
{
    std::map<std::string, std::vector<int>> numbers;
    for (Section const& section : lesson.sections)
        if (section.bars)
            numbers[*section.name].push_back(section.piece ? section.piece->number : 0);
    return std::ranges::all_of(numbers, [](auto const& part) {
        std::vector<int> counted(part.second.size());
        std::iota(counted.begin(), counted.end(), 1);
        return part.second == counted || part.second == std::vector{0};
    });
}

TEST_P(RetimeOf, PiecesAreCountedThroughOneCutAndThroughASecond)
{
    Read const old = old_lesson();
    EXPECT_TRUE(rc::check([&] {
        Followed const once = through(old, any_cut());
        RC_LOG() << once.film.text;
        RC_ASSERT(pieces_are_counted(once.film.lesson));
        Followed const twice = through(once.film, any_cut());
        RC_LOG() << twice.film.text;
        RC_ASSERT(pieces_are_counted(twice.film.lesson));
    }));
}

// A chorus that is played twice is no chorus in two pieces, even with the same bars.
TEST(Retime, PartsOfOneNameAreNotPiecesOfEachOther)
{
    Read const old = read(R"({"tabard": 1, "title": "t", "footage": "lantern.mp4", "tempo": 60, "sections": [
  {"name": "Chorus", "from": "0:04", "to": "0:12", "bars": "C | G"},
  {"name": "Chorus", "from": "0:20", "to": "0:28", "bars": "C | G"}]})",
                          seconds(30));
    Followed const result = through(old, pieces({{2, 30, 0}}));
    ASSERT_EQ(result.film.lesson.sections.size(), 2U);
    for (Section const& section : result.film.lesson.sections)
        EXPECT_FALSE(section.piece);
}

// Every repeat is looked at once: were each looked for among all others, this would take the square of it, some
// minutes.
TEST(Retime, FollowsTwentyThousandRepeatsOfTheWholeFilm)
{
    constexpr int kRepeats = 20'000;
    Read const old = read(R"({"tabard": 1, "title": "t", "footage": "lantern.mp4", "tempo": 60, "sections": [
  {"name": "Welcome", "from": "0:00", "to": "0:04"},
  {"name": "Chorus", "from": "0:04", "count_in": 1, "bars": "C | G"}]})",
                          seconds(12));
    std::vector<std::array<double, 3>> repeats;
    for (int i = 0; i < kRepeats; ++i)
        repeats.push_back({0, 12, 12.0 * i});
    Retimed const baked = retime(old.document, old.lesson, old.timeline, pieces(repeats));
    auto const& sections = baked.document.find("sections")->items;
    ASSERT_EQ(sections.size(), 2U * kRepeats);
    EXPECT_TRUE(std::ranges::all_of(sections, [](JsonValue const& section) {
        return section.find("name")->text == "Welcome" || section.find("count_in");
    }));
    auto const count_in = std::ranges::find(baked.report.cues, CueKind::count_in, &RetimedCue::kind);
    ASSERT_NE(count_in, baked.report.cues.end());
    EXPECT_EQ(count_in->fate, Fate::repeated);
    EXPECT_EQ(count_in->after.size(), static_cast<std::size_t>(kRepeats));
}

TEST(Retime, ACountInIsShownOnlyWhereAllOfItLeadsToTheFirstBar)
{
    // Cut out 0:13 - 0:15: the count-in (0:12 - 0:16) has lost its middle, the chorus nothing.
    Followed const result = through(old_lesson(), pieces({{0, 13, 0}, {15, 50, 13}}));
    Section const& chorus = result.film.lesson.sections[2];
    EXPECT_EQ(*chorus.name, "Chorus");
    EXPECT_EQ(chorus.count_in, 0);
    EXPECT_FALSE(chorus.piece);
    EXPECT_EQ(result.report.count(CueKind::count_in, Fate::lost), 1);
    EXPECT_EQ(result.report.count(CueKind::chord, Fate::lost), 0);
}

TEST(Retime, PlayedPartsDoNotRunBackwardsOrStandStill)
{
    std::vector<KeptSpan> const spans{{{seconds(16), seconds(20)}, {seconds(0), seconds(4)}, Motion::reverse},
                                      {{seconds(5), seconds(5)}, {seconds(4), seconds(6)}, Motion::freeze},
                                      {{seconds(5), seconds(6)}, {seconds(6), seconds(7)}, Motion::forward}};
    Followed const result = through(old_lesson(), EditMap::create(spans).value());
    EXPECT_TRUE(shown_at(result.film.timeline, seconds(2)).empty());
    EXPECT_EQ(result.film.timeline.chords().size(), 1U);
    EXPECT_EQ(result.film.timeline.chords()[0].in, seconds(4)) << "the chord of the talk is held with its picture";
    EXPECT_EQ(result.film.timeline.chords()[0].out, seconds(7));
    auto const backwards = std::ranges::find(result.report.cues, 1, &RetimedCue::bar);
    EXPECT_EQ(backwards->fate, Fate::lost);
    EXPECT_THAT(backwards->why, HasSubstr("backwards"));
}

/// The pins of a section as the file has them.
std::string pins_text(JsonValue const& section)
{
    JsonValue const* const pins = section.find("pins");
    std::string text;
    for (JsonValue const& pin : pins == nullptr ? std::vector<JsonValue>{} : pins->items)
        text += (text.empty() ? "[[\"" : ", [\"") + pin.items.at(0).text + "\", \"" + pin.items.at(1).text + "\"]";
    return text.empty() ? text : text + "]";
}

/// The sections of a lesson through a cut.
std::vector<JsonValue> sections_through(Read const& old, EditMap const& cut)
{
    return through(old, cut).film.document.find("sections")->items;
}

Read paused_lesson() { return read(kPauses, seconds(kSeconds)); }

TEST(Retime, AMovedPauseKeepsItsForm)
{
    auto const sections = sections_through(paused_lesson(), pieces({{0, 50, 10}}));
    EXPECT_EQ(pins_text(sections[0]),
              R"([["1.1", "0:14"], ["3.1", "0:22 to 0:27.5"], ["5.1 to 7.1", "0:35.5"], ["9.1", "0:43"]])");
    EXPECT_EQ(sections[0].find("piece"), nullptr);
}

// The editor takes 0:13 - 0:16 out of the pause from 0:12 to 0:17.5.
TEST(Retime, APauseOfWhichAPieceIsCutOutIsShorter)
{
    auto const sections = sections_through(paused_lesson(), pieces({{0, 13, 0}, {16, 50, 13}}));
    ASSERT_EQ(sections.size(), 2U);
    EXPECT_EQ(pins_text(sections[0]),
              R"([["1.1", "0:04"], ["3.1", "0:12 to 0:14.5"], ["5.1 to 7.1", "0:22.5"], ["9.1", "0:30"]])");
    EXPECT_EQ(sections[0].find("piece"), nullptr) << "nothing that is played is lost";
}

TEST(Retime, APauseThatIsCutOutIsGone)
{
    Followed const result = through(paused_lesson(), pieces({{0, 12, 0}, {17.5, 45, 12}, {47, 50, 39.5}}));
    auto const& sections = result.film.document.find("sections")->items;
    ASSERT_EQ(sections.size(), 2U);
    EXPECT_EQ(pins_text(sections[0]),
              R"([["1.1", "0:04"], ["3.1", "0:12"], ["5.1 to 7.1", "0:20"], ["9.1", "0:27.5"]])");
    EXPECT_EQ(
        pins_text(sections[1]),
        R"([["1.1", "0:28.5 to 0:29.7"], ["2.3", "0:35.5 to 0:36.1"], ["3.3 to 4.1", "0:39.5"], ["5.1", "0:42"]])")
        << "the skipped bars stay skipped";
    auto const scene_of = [&](double time) { return shown_at(result.film.timeline, seconds(time)); };
    EXPECT_EQ(scene_of(12), shown_at(paused_lesson().timeline, seconds(17.5))) << "bar 3 begins at once";
}

// With a third piece of film between them, each side keeps its own part of the pause.
TEST(Retime, APauseThatIsTornApartIsInBothPieces)
{
    auto const sections = sections_through(paused_lesson(), pieces({{0, 14, 0}, {15, 50, 20}}));
    ASSERT_EQ(sections.size(), 3U);
    EXPECT_EQ(pins_text(sections[0]), R"([["1.1", "0:04"], ["3.1", "0:12 to 0:17.5"], ["5.1 to 7.1", "0:25.5"]])");
    EXPECT_EQ(sections[1].find("piece")->find("from_bar")->text, "3.1");
    EXPECT_EQ(pins_text(sections[1]), R"([["3.1", "0:17 to 0:22.5"], ["5.1 to 7.1", "0:30.5"], ["9.1", "0:38"]])");
}

TEST(Retime, APauseAtAnotherSpeedIsAsLongAsThePlayingIs)
{
    EditMap const cut = EditMap::create({{{seconds(0), seconds(50)}, {seconds(0), seconds(25)}}}).value();
    auto const sections = sections_through(paused_lesson(), cut);
    EXPECT_EQ(pins_text(sections[0]),
              R"([["1.1", "0:02"], ["3.1", "0:06 to 0:08.75"], ["5.1 to 7.1", "0:12.75"], ["9.1", "0:16.5"]])");
}

TEST(Retime, OnePinWithAPauseIsEnoughWithATempo)
{
    Read const old = read(R"({"tabard": 1, "title": "t", "footage": "f.mp4", "tempo": 60, "sections": [
  {"name": "Verse", "from": "0:04", "bars": "C | G | Am", "pins": [["2.1", "0:08 to 0:12"]]}]})",
                          seconds(30));
    auto const sections = sections_through(old, pieces({{9, 30, 0}}));
    ASSERT_EQ(sections.size(), 1U);
    EXPECT_EQ(pins_text(sections[0]), R"([["2.1", "-0:01 to 0:03"]])");
    EXPECT_EQ(sections[0].find("piece")->find("from_bar")->text, "2.1");
}

// Without a tempo the bars fill the part: two bars in 8 s. A piece says so by pins.
TEST(Retime, APartWhoseEndSaysItsTempoKeepsItInPieces)
{
    Read const old = read(R"({"tabard": 1, "title": "t", "footage": "f.mp4", "sections": [
  {"name": "Verse", "from": "0:04", "to": "0:12", "bars": "C | G"}]})",
                          seconds(30));
    EXPECT_EQ(old.timeline.chords()[1].in, seconds(8));
    auto const moved = through(old, pieces({{0, 30, 2}})).film;
    EXPECT_EQ(pins_text(moved.document.find("sections")->items[0]), "");
    EXPECT_EQ(moved.timeline.chords()[1].in, seconds(10));
    auto const sections = sections_through(old, pieces({{6, 30, 0}}));
    EXPECT_EQ(pins_text(sections[0]), R"([["1.1", "-0:02"], ["3.1", "0:06"]])");
}

TEST(Retime, WritesBothTimesOfAPauseToTheMillisecond)
{
    auto const document = parse_document(R"({"sections": [
  {"pins": [["1.1", "0:05.0001 to 0:06.0004"], ["2.1", "0:07 to 0:08"]]},
  {"pins": [["1.1", "0:05.0001 to 0:05.0004"], ["2.1", "0:07"]]}]})")
                              .value();
    auto const plain = with_plain_times(document, JsonValue::object({}));
    auto const& sections = plain.find("sections")->items;
    EXPECT_EQ(pins_text(sections[0]), R"([["1.1", "0:05 to 0:06"], ["2.1", "0:07 to 0:08"]])");
    EXPECT_EQ(pins_text(sections[1]), R"([["1.1", "0:05.0001 to 0:05.0004"], ["2.1", "0:07"]])") << "it stays a pause";
}

// Twice as fast: the chorus of 16 s takes 8, so bars last 2 s.
TEST(Retime, APartPlayedFasterKeepsItsBars)
{
    EditMap const cut = EditMap::create({{{seconds(16), seconds(32)}, {seconds(0), seconds(8)}}}).value();
    Followed const result = through(old_lesson(), cut);
    auto const& chords = result.film.timeline.chords();
    ASSERT_EQ(chords.size(), 5U);
    EXPECT_EQ(chords[1].in, seconds(2));
    EXPECT_EQ(chords[2].in, seconds(3));
    EXPECT_EQ(chords[4].out, seconds(8));
}

TEST(Retime, WhatIsLostIsListedWithItsLine)
{
    Followed const result = through(old_lesson(), pieces({{0, 6, 0}, {33, 50, 6}}));
    std::string const text = report_text(result.report, "lesson.json");
    EXPECT_THAT(text, HasSubstr("lesson.json:14: part \"Chorus\": 0:16.000 - 0:32.000"));
    EXPECT_THAT(text, HasSubstr("lesson.json:10: text \"watch the thumb\" in \"The shapes\""));
    EXPECT_THAT(text, HasSubstr("trimmed:\n"));
    std::string const json = report_json(result.report, "lesson.json");
    EXPECT_THAT(json, HasSubstr("\"version\": 1"));
    EXPECT_THAT(json, HasSubstr("\"fate\": \"lost\""));
}

/// Levels of the layer of kind Card right before an instant; 0 where there is none.
template <class Card>
int level_before(Timeline const& timeline, Time time)
{
    for (overlay::Layer const& layer : timeline.scene_at(time - Time{1}).layers)
        if (std::holds_alternative<Card>(layer.content))
            return layer.level;
    return 0;
}

// The talk of 4 to 16 s loses [5, 6.95) and [9.6, 10.5): what touches stays one section, with seams at 5 s and 7.65 s.
// G comes on 0.05 s after the first, Am begins at the second.
TEST(Retime, NothingFadesInOverASeamOfTheCut)
{
    Followed const result = through(old_lesson(), pieces({{0, 5, 0}, {6.95, 9.6, 5}, {10.5, 50, 7.65}}));
    Timeline const& timeline = result.film.timeline;
    ASSERT_EQ(*result.film.lesson.sections[1].name, "The shapes");
    ASSERT_EQ(result.film.lesson.sections.size(), 5U) << "the talk is one section";
    EXPECT_EQ(result.film.lesson.sections[1].seams, (std::vector{seconds(5), seconds(7.65)}));
    EXPECT_EQ(level_before<overlay::TextCard>(timeline, seconds(5)), 0) << "pictures of another stretch";
    EXPECT_GT(level_before<overlay::TextCard>(timeline, seconds(5.05)), 0) << "there is room up to the seam";
    EXPECT_EQ(level_before<overlay::ChordCard>(timeline, seconds(7.65)), overlay::kFullLevel) << "G changes to Am";
    EXPECT_EQ(level_before<overlay::TextCard>(timeline, seconds(7)), overlay::kFullLevel);
}

// The bridge loses 33.4 to 35 s, where its bars begin.
TEST(Retime, BarsDoNotFadeInOverTheSeamAfterTheirTalk)
{
    Followed const result = through(old_lesson(), pieces({{33, 33.4, 0}, {35, 50, 0.4}}));
    Section const& bridge = result.film.lesson.sections[0];
    ASSERT_EQ(*bridge.name, "Bridge");
    ASSERT_EQ(bridge.from->value, Time{0}) << "talk and bars touch and stay one section";
    EXPECT_EQ(level_before<overlay::ChordCard>(result.film.timeline, seconds(0.4)), 0);
    EXPECT_EQ(level_before<overlay::BarRibbon>(result.film.timeline, seconds(0.4)), 0);
    EXPECT_EQ(level_before<overlay::StrumLane>(result.film.timeline, seconds(0.4)), 0);
}

// The film goes through a second cut: the seam of the first goes along, whole or in a piece, forwards or backwards.
TEST(Retime, ASeamIsFollowedThroughTheNextCut)
{
    Followed const first = through(old_lesson(), pieces({{0, 5, 0}, {6.95, 50, 5}}));
    ASSERT_EQ(first.film.lesson.sections[1].seams, std::vector{seconds(5)});
    auto const seams = [&](EditMap const& cut) { return through(first.film, cut).film.lesson.sections[0].seams; };
    EXPECT_EQ(seams(pieces({{4, 40, 0}})), std::vector{seconds(1)});
    EXPECT_EQ(seams(pieces({{4.5, 7, 0}})), std::vector{seconds(0.5)});
    EXPECT_EQ(seams(pieces({{5.02, 7, 0}})), std::vector<Time>{}) << "it was cut out";
}

// The strum is shown until 9.5 s, the seam at 9.55: backwards from 9.9 the seam comes at 0.35 and the strum at 0.4.
TEST(Retime, ASeamIsFollowedBackwards)
{
    Followed const first = through(old_lesson(), pieces({{0, 9.55, 0}, {10.2, 50, 9.55}}));
    ASSERT_EQ(first.film.lesson.sections[1].seams, std::vector{seconds(9.55)}) << "Am begins there";
    KeptSpan const backwards{{seconds(8.5), seconds(9.9)}, {Time{0}, seconds(1.4)}, Motion::reverse};
    Followed const second = through(first.film, EditMap::create({backwards}).value());
    EXPECT_EQ(second.film.lesson.sections[0].seams, std::vector{seconds(0.35)});
    EXPECT_EQ(level_before<overlay::StrumLane>(second.film.timeline, seconds(0.35)), 0);
    EXPECT_GT(level_before<overlay::StrumLane>(second.film.timeline, seconds(0.4)), 0);
}

TEST(Retime, NoOverlayIsOnScreenBeforeASeamThatItComesAfter)
{
    Read const old = old_lesson();
    EXPECT_TRUE(rc::check([&] {
        EditMap const cut = any_cut();
        Followed const result = through(old, cut);
        for (KeptSpan const& span : cut.spans()) {
            if (span.target.from == Time{0})
                continue;
            Time const before = span.target.from - Time{1};
            for (overlay::Layer const& layer : result.film.timeline.scene_at(before).layers) {
                bool const listed = std::holds_alternative<overlay::ChordCard>(layer.content) ||
                                    std::holds_alternative<overlay::StrumLane>(layer.content) ||
                                    std::holds_alternative<overlay::TextCard>(layer.content);
                RC_ASSERT((!listed || is_due(result.film.timeline, layer.content, before)));
            }
        }
    }));
}

TEST(Retime, TheNewFilmIsNamedAndItsFactsAreNoted)
{
    Read const old = old_lesson();
    RetimeOptions options;
    options.footage = "lantern_cut.mp4";
    options.new_footage = MediaFacts{Time{0}, seconds(20), {30000, 1001}};
    Retimed const baked = retime(old.document, old.lesson, old.timeline, pieces({{0, 20, 0}}), options);
    Read const film = read(document_text(baked.document), seconds(20));
    EXPECT_EQ(film.lesson.footage->string(), "lantern_cut.mp4");
    EXPECT_EQ(**film.lesson.footage_facts->duration, seconds(20));
    EXPECT_EQ(**film.lesson.footage_facts->rate, (FrameRate{30000, 1001}));
    auto const footage = std::ranges::find(baked.document.members, "footage", &JsonValue::Member::key);
    EXPECT_EQ(std::next(footage)->key, "made_for") << "beside what it is about";
    EXPECT_EQ(through(old, pieces({{0, 20, 0}})).film.document.find("made_for"), nullptr)
        << "nobody knows the new film";
}

// A cue that its author let run on past its section has no place once the section is cut out.
TEST(Retime, ACueDoesNotOutliveItsSection)
{
    auto const text = R"({"tabard": 1, "title": "t", "footage": "f.mp4", "sections": [
        {"name": "a", "from": "0:00", "to": "0:04", "show": [{"chord": "C", "from": "0:01", "to": "0:08"}]},
        {"name": "b", "from": "0:10", "to": "0:20"}]})";
    LessonReading const reading = parse_lesson(text, "lesson.json");
    auto const timeline = Timeline::resolve(*reading.lesson, {Time{0}, seconds(20), {25, 1}});
    auto const baked = retime(parse_document(text).value(), *reading.lesson, timeline, pieces({{5, 20, 0}}));
    EXPECT_EQ(baked.document.find("sections")->items.size(), 1U);
}

// The facts of the old film are not those of the new one.
TEST(Retime, ForgetsWhatWasNotedAboutTheOldFilmButNotTheAuthorsNote)
{
    std::string text = kLesson;
    text.replace(text.find("\"note\": \"kept\""), 14,
                 "\"made_for\": {\"note\": \"take 3\", \"duration\": \"0:50\", \"fingerprint\": \"x\"}");
    Read const old = read(text, seconds(kSeconds));
    Retimed const baked = retime(old.document, old.lesson, old.timeline, pieces({{0, 20, 0}}));
    EXPECT_EQ(baked.document.find("made_for")->find("note")->text, "take 3");
    EXPECT_EQ(baked.document.find("made_for")->find("duration"), nullptr);
    EXPECT_EQ(baked.document.find("made_for")->find("fingerprint"), nullptr);
}

// The places of the old file stay, so that what a checker finds through a cut is found at the author's lines.
TEST(Retime, KeepsThePlacesOfTheOldFile)
{
    Read const old = old_lesson();
    Retimed const baked = retime(old.document, old.lesson, old.timeline, pieces({{10, 50, 0}}));
    LessonReading const reading = lesson_of_document(baked.document, old.text, "lesson.json");
    EXPECT_TRUE(reading.usable());
    std::map<std::string, int> lines;
    for (Section const& section : reading.lesson->sections)
        lines[*section.name] = section.at.line;
    EXPECT_EQ(lines["Chorus"], 14);
    EXPECT_EQ(lines["Good-bye"], 18);
}

} // namespace
} // namespace tabard::pipeline
