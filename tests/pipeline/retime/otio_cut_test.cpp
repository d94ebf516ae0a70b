#include "cut_frames.h"
#include "pipeline/retime/otio_cut.h"

#include <string>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::HasSubstr;

constexpr FrameRate kFilm{24, 1};

std::string time(double value, double rate = 24)
{
    return fmt::format(R"({{"OTIO_SCHEMA":"RationalTime.1","value":{},"rate":{}}})", value, rate);
}
std::string range(double start, double duration, double rate = 24)
{
    return fmt::format(R"({{"OTIO_SCHEMA":"TimeRange.1","start_time":{},"duration":{}}})", time(start, rate),
                       time(duration, rate));
}
std::string media(std::string const& url, std::string const& available = "null")
{
    return fmt::format(R"({{"OTIO_SCHEMA":"ExternalReference.1","target_url":"{}","available_range":{}}})", url,
                       available);
}
std::string clip(std::string const& source_range, std::string const& more = "",
                 std::string const& reference = media("file:///x/lantern.mp4"))
{
    return fmt::format(R"({{"OTIO_SCHEMA":"Clip.1","name":"c","source_range":{},"media_reference":{}{}}})",
                       source_range, reference, more);
}
std::string gap(double length)
{
    return fmt::format(R"({{"OTIO_SCHEMA":"Gap.1","source_range":{}}})", range(0, length));
}
std::string transition(double in, double out)
{
    return fmt::format(R"({{"OTIO_SCHEMA":"Transition.1","in_offset":{},"out_offset":{}}})", time(in), time(out));
}
template <class... Children>
std::string composition(std::string const& schema, std::string const& more, Children const&... children)
{
    return fmt::format(R"({{"OTIO_SCHEMA":"{}"{},"children":[{}]}})", schema, more,
                       fmt::join(std::initializer_list<std::string>{children...}, ","));
}
template <class... Children>
std::string track(Children const&... children)
{
    return composition("Track.1", R"(,"kind":"Video")", children...);
}
template <class... Tracks>
std::string timeline(Tracks const&... tracks)
{
    return fmt::format(R"({{"OTIO_SCHEMA":"Timeline.1","global_start_time":{},"tracks":{}}})", time(86400),
                       composition("Stack.1", "", tracks...));
}
std::string const kOther = media("file:///x/message.mp4");

CutOptions of_lantern()
{
    CutOptions options;
    options.footage = "lantern.mp4";
    return options;
}

std::vector<Frames> cut(std::string const& text, CutOptions const& options = of_lantern())
{
    auto const reading = parse_otio_cut(text, options);
    EXPECT_TRUE(reading) << (reading ? "" : reading.error().what);
    return reading ? in_frames(reading->map, kFilm) : std::vector<Frames>{};
}

std::string error_of(std::string const& text)
{
    auto const reading = parse_otio_cut(text, of_lantern());
    return reading ? "understood" : reading.error().what;
}

// Lengths of the OpenTimelineIO project's sample "simple cut": 3, 6 and 4 frames, the last clip as long as its media.
TEST(OpenTimeline, ClipsFollowOneAnother)
{
    std::string const text = timeline(track(clip(range(3, 3)), clip(range(20, 6)), clip(range(40, 4)),
                                            clip("null", "", media("lantern.mp4", range(0, 7)))));
    std::vector<Frames> const expected{{3, 6, 0, 3}, {20, 26, 3, 9}, {40, 44, 9, 13}, {0, 7, 13, 20}};
    EXPECT_EQ(cut(text), expected);
    EXPECT_EQ(parse_otio_cut(text, of_lantern())->new_length, from_frame(20, kFilm));
}

TEST(OpenTimeline, MediaTimesCountFromTheMediasOwnStart)
{
    std::string const text = timeline(track(clip(range(86424, 10), "", media("lantern.mp4", range(86400, 500)))));
    EXPECT_EQ(cut(text), (std::vector<Frames>{{24, 34, 0, 10}}));
}

TEST(OpenTimeline, AFileThatIsCountedFromTwoLabelsIsDoubted)
{
    auto const doubts = [](double start, CutOptions const& options) {
        return parse_otio_cut(timeline(track(clip(range(100, 10), "", media("lantern.mp4", range(100, 300))),
                                             clip(range(start, 10), "", media("lantern.mp4", range(start, 300))))),
                              options)
            .value()
            .doubts;
    };
    EXPECT_TRUE(doubts(100, of_lantern()).empty());
    ASSERT_EQ(doubts(700, of_lantern()).size(), 1U);
    EXPECT_EQ(doubts(700, of_lantern())[0].what, "clips of lantern.mp4 count it from 0:04.167 and from 0:29.167");
    CutOptions said = of_lantern();
    said.source_start = "0:00";
    EXPECT_TRUE(doubts(700, said).empty());
    CutOptions other;
    other.footage = "other.mp4";
    other.source = "lantern.mp4";
    EXPECT_EQ(doubts(700, other).size(), 1U);
    std::string const ramp = R"(,"effects":[{"OTIO_SCHEMA":"TimeEffect.1","effect_name":"ramp"}])";
    EXPECT_TRUE(parse_otio_cut(timeline(track(clip(range(0, 5)), clip(range(0, 5), ramp, kOther),
                                              clip(range(0, 5), "", media("message.mp4", range(0, 9))))),
                               of_lantern())
                    ->doubts.empty())
        << "other films move no cue";
}

TEST(OpenTimeline, ReadsTheSecondKindOfClip)
{
    std::string const text = timeline(track(fmt::format(
        R"({{"OTIO_SCHEMA":"Clip.2","source_range":{},"active_media_reference_key":"full",
            "media_references":{{"proxy":{},"full":{}}}}})",
        range(5, 10), kOther, media("file:///my%20films/Lantern.mp4"))));
    EXPECT_EQ(cut(text), (std::vector<Frames>{{5, 15, 0, 10}}));
}

// The sample "multitrack" and its published flattening: 482, 480, 236 from 159, 640, gap 119, 720, gap 605, in all 3282
// frames. The three tracks here are laid so that the same lengths result; media starts are ours.
TEST(OpenTimeline, AnyReferenceOfAClipMayBeTheFootage)
{
    std::string const text = timeline(track(fmt::format(
        R"({{"OTIO_SCHEMA":"Clip.2","source_range":{},"active_media_reference_key":"proxy",
            "media_references":{{"proxy":{},"DEFAULT_MEDIA":{}}}}})",
        range(5, 10), media("p.mov"), media("file:///my%20films/Lantern.mp4"))));
    EXPECT_EQ(cut(text), (std::vector<Frames>{{5, 15, 0, 10}}));
}

TEST(OpenTimeline, UpperTracksCoverLowerOnes)
{
    std::string const lowest = track(clip(range(0, 1357)), gap(119 + 720 + 605 + 481));
    std::string const middle = track(gap(482), clip(range(2000, 480)), gap(236), clip(range(3000, 640)), gap(1444));
    std::string const top = track(gap(482 + 480 + 236 + 640 + 119), clip(range(5000, 720)), gap(605));
    auto const flat = cut(timeline(lowest, middle, top));
    std::vector<Frames> const expected{{0, 482, 0, 482},
                                       {2000, 2480, 482, 962},
                                       {962, 1198, 962, 1198},
                                       {3000, 3640, 1198, 1838},
                                       {5000, 5720, 1957, 2677}};
    EXPECT_EQ(flat, expected);
    EXPECT_EQ(parse_otio_cut(timeline(lowest, middle, top), of_lantern())->new_length, from_frame(3282, kFilm));
}

TEST(OpenTimeline, DisabledClipsKeepTheirTimeAndShowNothing)
{
    std::string const text = timeline(track(clip(range(0, 10)), clip(range(50, 10)), clip(range(90, 10))),
                                      track(gap(5), clip(range(200, 10), R"(,"enabled":false)"), clip(range(300, 5))));
    std::vector<Frames> const expected{{0, 10, 0, 10}, {50, 55, 10, 15}, {300, 305, 15, 20}, {90, 100, 20, 30}};
    EXPECT_EQ(cut(text), expected);
}

TEST(OpenTimeline, SoundTracksAreNoPicture)
{
    std::string const sound = composition("Track.1", R"(,"kind":"Audio")", clip(range(700, 30)));
    EXPECT_EQ(cut(timeline(track(clip(range(0, 10))), sound)), (std::vector<Frames>{{0, 10, 0, 10}}));
}

// In and out offsets of the sample "transition test": 2 before the cut, 3 after it. The middle is half a frame after
// the cut, rounded down to the cut itself.
TEST(OpenTimeline, ATransitionTakesNoTimeAndChangesOverInItsMiddle)
{
    EXPECT_EQ(cut(timeline(track(clip(range(0, 10)), transition(2, 3), clip(range(50, 10))))),
              (std::vector<Frames>{{0, 10, 0, 10}, {50, 60, 10, 20}}));
    EXPECT_EQ(cut(timeline(track(clip(range(0, 10)), transition(0, 6), clip(range(50, 10))))),
              (std::vector<Frames>{{0, 13, 0, 13}, {53, 60, 13, 20}}));
    EXPECT_EQ(cut(timeline(track(clip(range(0, 10)), transition(6, 0), clip(range(50, 10))))),
              (std::vector<Frames>{{0, 7, 0, 7}, {47, 60, 7, 20}}));
}

// Its middle is half a frame before the cut: rounded down, the frame before is the new one's.
TEST(OpenTimeline, ATransitionThatLiesMostlyBeforeTheCutChangesOverBeforeIt)
{
    EXPECT_EQ(cut(timeline(track(clip(range(0, 10)), transition(3, 2), clip(range(50, 10))))),
              (std::vector<Frames>{{0, 9, 0, 9}, {49, 60, 9, 20}}));
}

TEST(OpenTimeline, ATransitionMayComeFirstOrLast)
{
    EXPECT_EQ(cut(timeline(track(transition(0, 5), clip(range(0, 10)), transition(5, 0)))),
              (std::vector<Frames>{{0, 10, 0, 10}}));
}

TEST(OpenTimeline, ATimeWarpChangesTheSpeedAndNotTheLength)
{
    std::string const twice = R"(,"effects":[{"OTIO_SCHEMA":"LinearTimeWarp.1","time_scalar":2.0}])";
    std::string const back = R"(,"effects":[{"OTIO_SCHEMA":"LinearTimeWarp.1","time_scalar":-1.0}])";
    std::string const freeze = R"(,"effects":[{"OTIO_SCHEMA":"FreezeFrame.1","time_scalar":0}])";
    std::vector<Frames> const expected{
        {10, 34, 0, 12}, {100, 112, 12, 24, Motion::reverse}, {200, 200, 24, 36, Motion::freeze}};
    EXPECT_EQ(
        cut(timeline(track(clip(range(10, 12), twice), clip(range(100, 12), back), clip(range(200, 12), freeze)))),
        expected);
}

TEST(OpenTimeline, EffectsThatAreSwitchedOffDoNothing)
{
    EXPECT_EQ(cut(timeline(track(clip(range(5, 10), R"(,"effects":[{"OTIO_SCHEMA":"LinearTimeWarp.1","time_scalar":2,)"
                                                    R"("enabled":false}])")))),
              (std::vector<Frames>{{5, 15, 0, 10}}));
}

TEST(OpenTimeline, ASpeedThatNoFilmHasIsRefused)
{
    auto const at_speed = [](char const* speed) {
        return timeline(
            track(clip(range(10, 12),
                       fmt::format(R"(,"effects":[{{"OTIO_SCHEMA":"LinearTimeWarp.1","time_scalar":{}}}])", speed))));
    };
    for (char const* speed : {"10000", "-10000", "0.0001", "-0.0001"})
        EXPECT_EQ(error_of(at_speed(speed)), "understood") << speed;
    for (char const* speed : {"10001", "-10001", "0.00009", "-0.00009", "1e300"})
        EXPECT_THAT(error_of(at_speed(speed)), HasSubstr("cannot be followed")) << speed;
    EXPECT_EQ(cut(at_speed("0")), (std::vector<Frames>{{10, 10, 0, 12, Motion::freeze}})) << "a held picture";
    EXPECT_EQ(cut(at_speed("0.5")), (std::vector<Frames>{{10, 16, 0, 12}}));
}

TEST(OpenTimeline, CompositionsNestAndAreTrimmedAndRetimed)
{
    std::string const inner = composition("Track.1",
                                          R"(,"kind":"Video","effects":[{"OTIO_SCHEMA":"LinearTimeWarp.1",)"
                                          R"("time_scalar":0.5}],"source_range":)" +
                                              range(4, 16),
                                          clip(range(100, 8)), clip(range(300, 8)));
    // From 4 on at half speed for 16 frames: 8 frames of content, 4 of each clip.
    std::vector<Frames> const expected{{104, 108, 10, 18}, {300, 304, 18, 26}, {50, 55, 26, 31}};
    EXPECT_EQ(cut(timeline(track(gap(10), composition("Stack.1", "", inner), clip(range(50, 5))))), expected);
}

// The sample "multiple track" has a track whose own range starts at -7.
TEST(OpenTimeline, ATrackMayBeginBeforeItsContent)
{
    std::string const inner =
        composition("Track.1", R"(,"kind":"Video","source_range":)" + range(-7, 20), clip(range(0, 30)));
    EXPECT_EQ(cut(timeline(inner)), (std::vector<Frames>{{0, 13, 7, 20}}));
}

TEST(OpenTimeline, RatesMayDifferWithinAFile)
{
    // 30 at 30 and 1 at 1 are a second each; the second clip starts at 15/30 s.
    EXPECT_EQ(cut(timeline(track(clip(range(0, 30, 30)), clip(range(2, 1, 1)), clip(range(15, 15, 30))))),
              (std::vector<Frames>{{0, 24, 0, 24}, {48, 72, 24, 48}, {12, 24, 48, 60}}));
    auto const ntsc = parse_otio_cut(timeline(track(clip(range(0, 1800, 29.97)))), of_lantern());
    EXPECT_EQ(ntsc->map.end(), from_frame(1800, {30000, 1001}));
    auto const film = parse_otio_cut(timeline(track(clip(range(0, 1440, 23.976023976)))), of_lantern());
    EXPECT_EQ(film->map.end(), from_frame(1440, {24000, 1001}));
}

// 12.5 is the rate of no NTSC format, and 1 that of stills.
TEST(OpenTimeline, RatesThatNoFilmHasAreTakenAsTheyAre)
{
    for (double const rate : {1.0, 12.5, 14.985, 1000.0, 48000.0}) {
        std::string const text = timeline(track(clip(range(2 * rate, 4 * rate, rate))));
        EXPECT_EQ(cut(text), (std::vector<Frames>{{48, 144, 0, 96}})) << rate;
    }
}

TEST(OpenTimeline, OtherMediaAndGeneratedPictureAreNewMaterial)
{
    std::string const bars = R"({"OTIO_SCHEMA":"GeneratorReference.1","generator_kind":"SMPTEBars","name":"b"})";
    std::string const text = timeline(
        track(clip(range(0, 10)), clip(range(0, 24), "", kOther), clip(range(10, 10)), clip(range(0, 24), "", bars)));
    EXPECT_EQ(cut(text), (std::vector<Frames>{{0, 10, 0, 10}, {10, 20, 34, 44}}));
    EXPECT_THAT(parse_otio_cut(text, of_lantern())->remarks, testing::Contains(HasSubstr("2.000 s of the new film")));
}

// Ten seconds of the film, and something of another kind over its frames 48 to 72 or over all of it.
TEST(OpenTimeline, TitlesAndLogosOverTheFilmDoNotTakeItsPlace)
{
    std::string const film = track(clip(range(100, 240)));
    std::string const logo = media("file:///x/Logo%20white.png");
    std::string const title = R"({"OTIO_SCHEMA":"GeneratorReference.1","generator_kind":"Text","name":"Lower third"})";
    std::string const sequence = R"({"OTIO_SCHEMA":"ImageSequenceReference.1","target_url_base":"file:///x/",)"
                                 R"("name_prefix":"lantern.","name_suffix":".exr"})";
    std::vector<Frames> const whole{{100, 340, 0, 240}};
    for (std::string const& over : {logo, title, sequence}) {
        EXPECT_EQ(cut(timeline(film, track(gap(48), clip(range(0, 24), "", over)))), whole) << over;
        EXPECT_EQ(cut(timeline(film, track(clip(range(0, 240), "", over)))), whole) << over;
    }
    EXPECT_THAT(parse_otio_cut(timeline(film, track(clip(range(0, 240), "", logo))), of_lantern())->remarks,
                testing::ElementsAre("Logo white.png lies over the picture: what is under it is followed"));
    EXPECT_THAT(error_of(timeline(track(clip(range(0, 24), "", title)))),
                HasSubstr("nothing but black or generated picture (Lower third (1 shot))"));
    EXPECT_THAT(error_of(timeline(track(clip(range(0, 24), "", logo)))), HasSubstr("Logo white.png (1 shot) and none"));
}

TEST(OpenTimeline, FilmsAndSolidPicturesHideWhatIsUnderThem)
{
    std::string const film = track(clip(range(100, 240)));
    std::string const bars = R"({"OTIO_SCHEMA":"GeneratorReference.1","generator_kind":"SMPTEBars"})";
    for (std::string const& over : {kOther, media("slide.jpg"), bars}) {
        std::string const text = timeline(film, track(gap(48), clip(range(0, 24), "", over)));
        EXPECT_EQ(cut(text), (std::vector<Frames>{{100, 148, 0, 48}, {172, 340, 72, 240}})) << over;
        EXPECT_THAT(parse_otio_cut(text, of_lantern())->remarks,
                    testing::Contains(HasSubstr("hidden under other pictures from 0:02.000 to 0:03.000")));
        EXPECT_THAT(error_of(timeline(film, track(clip(range(0, 240), "", over)))),
                    testing::AnyOf(HasSubstr("lantern.mp4 is in the cut, but other pictures hide it (from 0:00.000 to "
                                             "0:10.000)"),
                                   HasSubstr("none is called like the footage")));
    }
}

TEST(OpenTimeline, AClipThatIsCalledLikeTheFootageAndIsAnotherFileIsNotIt)
{
    std::string const named =
        R"({"OTIO_SCHEMA":"Clip.1","name":"lantern","source_range":)" + range(0, 24) + R"(,"media_reference":)";
    EXPECT_EQ(cut(timeline(track(clip(range(50, 10)), named + kOther + "}"))), (std::vector<Frames>{{50, 60, 0, 10}}));
    EXPECT_EQ(cut(timeline(track(named + R"({"OTIO_SCHEMA":"MissingReference.1"}})"))),
              (std::vector<Frames>{{0, 24, 0, 24}}))
        << "where no file is given, the clip's name tells";
    EXPECT_EQ(cut(timeline(track(named + "null}"))), (std::vector<Frames>{{0, 24, 0, 24}}));
}

TEST(OpenTimeline, SaysThatTheFootageIsDisabled)
{
    std::string const off = clip(range(0, 24), R"(,"enabled":false)");
    EXPECT_THAT(error_of(timeline(track(off, clip(range(0, 24), "", kOther)))),
                HasSubstr("lantern.mp4 is in the cut, but all its shots are disabled"));
    EXPECT_THAT(error_of(timeline(track(off, off))), HasSubstr("lantern.mp4 is in the cut, but all its shots are dis"));
    EXPECT_THAT(error_of(timeline(composition("Track.1", R"(,"kind":"Video","enabled":false)", clip(range(0, 24))))),
                HasSubstr("lantern.mp4 is in the cut, but all its shots are disabled"));
}

TEST(OpenTimeline, NamesWhatItCannotFollow)
{
    EXPECT_THAT(error_of(timeline(track(R"({"OTIO_SCHEMA":"Hologram.3"})"))), HasSubstr("'Hologram'"));
    EXPECT_THAT(error_of(R"({"OTIO_SCHEMA":"Marker.2"})"), HasSubstr("Marker"));
    EXPECT_THAT(error_of("{}"), HasSubstr("OTIO_SCHEMA"));
    EXPECT_THAT(error_of(R"({"OTIO_SCHEMA":"Track.1","children":5})"), HasSubstr("tracks: children is no list"));
    for (char const* empty : {R"({"OTIO_SCHEMA":"Track.1","children":null})", R"({"OTIO_SCHEMA":"Stack.1"})"})
        EXPECT_THAT(error_of(empty), HasSubstr("keeps nothing of the footage: there is no picture in it"));
    std::string const ramp = R"(,"effects":[{"OTIO_SCHEMA":"TimeEffect.1","effect_name":"ramp"}])";
    auto const reading = parse_otio_cut(timeline(track(clip(range(0, 5), ramp))), of_lantern());
    ASSERT_EQ(reading->doubts.size(), 1U);
    EXPECT_THAT(reading->doubts[0].what, HasSubstr("'ramp'"));
}

TEST(OpenTimeline, RefusesNumbersThatAreNoneWithTheirPlace)
{
    for (std::string const word : {"NaN", "Infinity", "-Infinity", "Inf"}) {
        SCOPED_TRACE(word);
        std::string const error = error_of("{\n  \"OTIO_SCHEMA\": \"Timeline.1\",\n  \"x\": " + word + "\n}");
        EXPECT_THAT(error, testing::AllOf(HasSubstr("line 3, column "), HasSubstr("NaN and Infinity")));
    }
    EXPECT_THAT(error_of("{\"a\": 1,,}"), testing::AllOf(HasSubstr("line 1, column 9"), HasSubstr("second comma")));
    EXPECT_THAT(error_of(timeline(track(clip(range(0, 1e300))))), HasSubstr("longer than any film"));
    EXPECT_THAT(error_of(timeline(track(clip(range(0, 5, -24))))), HasSubstr("rate"));
    EXPECT_THAT(error_of(timeline(track(clip(range(0, -5))))), HasSubstr("negative"));
    EXPECT_THAT(error_of(timeline(track(clip("null")))), HasSubstr("length is unknown"));
}

TEST(OpenTimeline, NestingHasALimit)
{
    std::string text = clip(range(0, 5));
    for (int i = 0; i < 5000; ++i)
        text = composition("Track.1", "", text);
    EXPECT_THAT(error_of(text), HasSubstr("nested more than"));
    std::string nested = clip(range(0, 5));
    for (int i = 0; i < kDeepestNest; ++i)
        nested = composition("Track.1", "", nested);
    EXPECT_EQ(cut(nested), (std::vector<Frames>{{0, 5, 0, 5}}));
    EXPECT_THAT(error_of(composition("Track.1", "", nested)), HasSubstr("nested more than"));
}

TEST(OpenTimeline, ATimeThatIsLeftOutIsZero)
{
    std::string const length = R"("duration":)" + time(5) + "}";
    std::string const schema = R"({"OTIO_SCHEMA":"TimeRange.1",)";
    EXPECT_EQ(cut(timeline(track(clip(schema + length)))), (std::vector<Frames>{{0, 5, 0, 5}}));
    EXPECT_EQ(cut(timeline(track(clip(schema + R"("start_time":null,)" + length)))),
              (std::vector<Frames>{{0, 5, 0, 5}}));
    std::string const fade = R"({"OTIO_SCHEMA":"Transition.1","in_offset":null,"out_offset":)" + time(6) + "}";
    EXPECT_EQ(cut(timeline(track(clip(range(0, 10)), fade, clip(range(50, 10))))),
              (std::vector<Frames>{{0, 13, 0, 13}, {53, 60, 13, 20}}));
}

TEST(OpenTimeline, OfACollectionTheOnlyTimelineIsMeant)
{
    auto const collection = [](auto const&... things) {
        return composition("SerializableCollection.1", "", things...);
    };
    std::string const film = timeline(track(clip(range(3, 7))));
    EXPECT_EQ(cut(collection(film)), (std::vector<Frames>{{3, 10, 0, 7}}));
    EXPECT_THAT(error_of(collection(film, film)), HasSubstr("a collection of 2 things"));
    EXPECT_THAT(error_of(R"({"OTIO_SCHEMA":"SerializableCollection.1"})"), HasSubstr("a collection of 0 things"));
}

// The programs that wrote the first releases called them so.
TEST(OpenTimeline, ReadsTheOldNamesOfTracksAndGaps)
{
    std::string const filler = R"({"OTIO_SCHEMA":"Filler.1","source_range":)" + range(0, 4) + "}";
    EXPECT_EQ(cut(composition("Sequence.1", "", filler, clip(range(3, 7)))), (std::vector<Frames>{{3, 10, 4, 11}}));
}

} // namespace
} // namespace tabard::pipeline
