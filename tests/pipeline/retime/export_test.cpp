#include "pipeline/retime/edl_cut.h"
#include "pipeline/retime/export.h"
#include "pipeline/retime/otio_cut.h"

#include <algorithm>
#include <array>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <rapidcheck.h>

namespace tabard::pipeline {
namespace {

using testing::HasSubstr;

constexpr std::array kRates{FrameRate{24000, 1001}, FrameRate{25, 1}, FrameRate{30000, 1001}, FrameRate{60000, 1001}};

template <class T>
T any_of_range(T from, T to)
{
    return *rc::gen::resize(rc::kNominalSize, rc::gen::inRange<T>(from, to));
}

enum class Cuts { on_frames, anywhere };

/// Up to eight pieces, forwards, backwards, held and at other speeds, with gaps.
EditMap any_cut(FrameRate rate, Cuts cuts)
{
    auto const length = [&](int most) {
        Time const frames = from_frame(any_of_range(1, most), rate);
        return cuts == Cuts::on_frames ? frames : frames + Time{any_of_range<std::int64_t>(0, 1'000'000)};
    };
    std::vector<KeptSpan> spans;
    Time at{0};
    int const count = any_of_range(0, 9);
    for (int i = 0; i < count; ++i) {
        at += any_of_range(0, 3) == 0 ? length(50) : Time{0};
        Time const from = length(40'000);
        Time const source = length(3000);
        int const kind = any_of_range(0, 6);
        KeptSpan span{{from, from + source}, {at, at + source}, Motion::forward};
        if (kind == 1)
            span.motion = Motion::reverse;
        if (kind == 2)
            span = {{from, from}, {at, at + source}, Motion::freeze};
        if (kind == 3)
            span.target.to = at + length(3000);
        spans.push_back(span);
        at = span.target.to;
    }
    return EditMap::create(spans).value();
}

ExportJob job_of(EditMap cut, FrameRate rate)
{
    ExportJob job;
    job.title = "Lantern on the Quay";
    job.footage = "/films/lantern.mp4";
    job.footage_length = from_frame(50'000, rate);
    job.rate = rate;
    job.cut = std::move(cut);
    job.length = std::max(job.cut.end(), from_frame(80, rate)) + from_frame(10, rate);
    job.cues = {{CueKind::section, "Verse", "Verse", 0, {Time{0}, from_frame(90, rate)}},
                {CueKind::chord, "F#m7, \"easy\"", "Verse", 2, {from_frame(10, rate), from_frame(40, rate)}},
                {CueKind::chord, "<G & B>", "Verse", 3, {from_frame(40, rate), from_frame(55, rate)}},
                {CueKind::text, "rest --> now", "Verse", 0, {from_frame(40, rate), from_frame(60, rate)}}};
    return job;
}

CutOptions reading(ExportJob const& job)
{
    CutOptions options;
    options.rate = job.rate;
    options.footage = "lantern.mp4";
    options.footage_label = job.footage_label;
    options.footage_length = job.footage_length;
    return options;
}

TEST(Export, AnEditListReadsBackAsTheCutThatItWasWrittenFrom)
{
    EXPECT_TRUE(rc::check([] {
        ExportJob const job = job_of({}, kRates[static_cast<std::size_t>(any_of_range(0, 4))]);
        ExportJob cut = job_of(any_cut(job.rate, Cuts::on_frames), job.rate);
        cut.footage_label = any_of_range(0, 2) == 0 ? "" : "10:00:00:00";
        std::string const text = export_edl(cut).text;
        RC_LOG() << text;
        auto const back = parse_edl_cut(text, reading(cut));
        RC_ASSERT(back.has_value() != cut.cut.spans().empty());
        if (!back)
            return;
        RC_ASSERT(back->map == cut.cut);
        RC_ASSERT(back->new_length == cut.length);
    }));
}

// A speed is written as one double there: what lies far into a piece may be a flick off.
TEST(Export, AnOpenTimelineReadsBackAsTheCutThatItWasWrittenFrom)
{
    EXPECT_TRUE(rc::check([] {
        FrameRate const rate = kRates[static_cast<std::size_t>(any_of_range(0, 4))];
        ExportJob job = job_of(any_cut(rate, Cuts::anywhere), rate);
        job.footage_label = any_of_range(0, 2) == 0 ? "" : "10:00:00:00";
        auto const back = parse_otio_cut(export_otio(job).text, reading(job));
        RC_LOG() << (back ? "" : back.error().what);
        RC_ASSERT(back.has_value() != job.cut.spans().empty());
        if (!back)
            return;
        auto const& spans = back->map.spans();
        RC_ASSERT(spans.size() == job.cut.spans().size());
        auto const near = [](Time a, Time b) { return std::abs((a - b).count()) <= 2; };
        for (std::size_t i = 0; i < spans.size(); ++i) {
            KeptSpan const& was = job.cut.spans()[i];
            RC_ASSERT(spans[i].motion == was.motion);
            RC_ASSERT((near(spans[i].source.from, was.source.from) && near(spans[i].source.to, was.source.to)));
            RC_ASSERT((near(spans[i].target.from, was.target.from) && near(spans[i].target.to, was.target.to)));
        }
        RC_ASSERT(near(back->new_length, job.length));
    }));
}

// By hand: 100 frames are 4 s at 25. At 29.97 the list counts as the camera did: ten drop-frame hours and ten whole
// ones are different frames (SMPTE ST 12-1), which the list's FCM line tells apart.
TEST(Export, AnEditListCountsTheFootageByItsOwnTimecode)
{
    auto const list = [](FrameRate rate, std::string const& label) {
        EditMap const cut =
            EditMap::create(
                {{{from_frame(100, rate), from_frame(125, rate)}, {Time{0}, from_frame(25, rate)}, Motion::forward}})
                .value();
        ExportJob job = job_of(cut, rate);
        job.footage_label = label;
        return export_edl(job).text;
    };
    EXPECT_THAT(list({25, 1}, ""), HasSubstr("C        00:00:04:00 00:00:05:00 01:00:00:00"));
    EXPECT_THAT(list({25, 1}, "10:00:00:00"), HasSubstr("C        10:00:04:00 10:00:05:00 01:00:00:00"));
    std::string const dropped = list({30000, 1001}, "10:00:00;00");
    EXPECT_THAT(dropped, HasSubstr("FCM: DROP FRAME"));
    EXPECT_THAT(dropped, HasSubstr("C        10:00:03;10 10:00:04;05 01:00:00;00"));
    std::string const whole = list({30000, 1001}, "10:00:00:00");
    EXPECT_THAT(whole, HasSubstr("FCM: NON-DROP FRAME"));
    EXPECT_THAT(whole, HasSubstr("C        10:00:03:10 10:00:04:05 01:00:00:00"));
}

TEST(Export, AnEditListHoldsTheCuesAsCommentsInWords)
{
    ExportJob const job = job_of(EditMap::identity(from_frame(1900, kRates[2])), kRates[2]);
    std::string const text = export_edl(job).text;
    EXPECT_THAT(text, HasSubstr("FCM: DROP FRAME\n"));
    // 1900 frames are two labels past one minute, three seconds and ten frames in drop-frame (SMPTE ST 12-1).
    EXPECT_THAT(text, HasSubstr("001  LANTERN  V     C        00:00:00;00 00:01:03;12 01:00:00;00 01:01:03;12\n"));
    EXPECT_THAT(text, HasSubstr("* AT 01:00:01;10: chord <G & B>, bar 3 (0.50 s)\n"));
}

// A reel has eight letters or digits. Frame 10 shows a cue that begins with it, frame 11 one that begins after that.
TEST(Export, AnEditListNamesTheReelAndTheFirstFrameOfACue)
{
    FrameRate const rate = kRates[1];
    ExportJob job = job_of(EditMap::identity(from_frame(100, rate)), rate);
    for (auto const& [file, reel] : std::vector<std::pair<std::string, std::string>>{
             {"/films.d/Lantern on the Quay.mp4", "LANTERNO"}, {"take_2.mov", "TAKE2   "}, {"---.mp4", "FOOTAGE "}}) {
        job.footage = file;
        EXPECT_THAT(export_edl(job).text, HasSubstr("\n001  " + reel + " V     C        00:00:00:00"));
    }
    EXPECT_THAT(export_edl(job).text, HasSubstr("* AT 01:00:00:10: chord F#m7"));
    job.cues[1].on_screen.from += Time{1};
    EXPECT_THAT(export_edl(job).text, HasSubstr("* AT 01:00:00:11: chord F#m7"));
    EXPECT_THAT(export_edl(job).remarks, testing::SizeIs(1)) << "no cut lies between frames";
}

TEST(Export, OpenTimelineHoldsClipsAndMarkersThatHideNothing)
{
    ExportJob const job = job_of(EditMap::identity(from_frame(100, kRates[1])), kRates[1]);
    std::string const text = export_otio(job).text;
    EXPECT_THAT(text, HasSubstr("\"name\": \"tabard chords\""));
    EXPECT_THAT(text, HasSubstr("\"OTIO_SCHEMA\": \"Marker.2\""));
    EXPECT_THAT(text, HasSubstr("F#m7, \\\"easy\\\""));
}

// The job's chords: from frame 10 to 40 and from there to 55; its text from 40 to 60.
TEST(Export, OpenTimelineHoldsTheCuesOfEachKindOnATrackOfTheirOwn)
{
    auto const file =
        nlohmann::json::parse(export_otio(job_of(EditMap::identity(from_frame(100, kRates[1])), kRates[1])).text);
    std::vector<std::string> found;
    for (auto const& track : file["tracks"]["children"])
        for (auto const& item : track["children"])
            found.push_back(fmt::format("{}: {} {}", track["name"].get<std::string>(),
                                        item["OTIO_SCHEMA"] == "Gap.1" ? "gap" : item["name"].get<std::string>(),
                                        item["source_range"]["duration"]["value"].get<double>()));
    EXPECT_THAT(found, testing::ElementsAre("film: lantern.mp4 100", "film: gap 10", "tabard sections: Verse 90",
                                            "tabard chords: gap 10", "tabard chords: F#m7, \"easy\" 30",
                                            "tabard chords: <G & B> 15", "tabard texts: gap 40",
                                            "tabard texts: rest --> now 20"));
}

/// The lengths of all clips and gaps of a timeline in seconds.
void add_lengths(nlohmann::json const& item, std::vector<double>& lengths)
{
    if (item.contains("source_range")) {
        auto const& duration = item["source_range"]["duration"];
        lengths.push_back(duration["value"].get<double>() / duration["rate"].get<double>());
    }
    if (item.contains("children"))
        for (auto const& child : item["children"])
            add_lengths(child, lengths);
}

TEST(Export, NoClipOrGapOfAnOpenTimelineIsWithoutLength)
{
    EXPECT_TRUE(rc::check([] {
        FrameRate const rate = kRates[static_cast<std::size_t>(any_of_range(0, 4))];
        ExportJob job = job_of(any_cut(rate, Cuts::anywhere), rate);
        job.length = job.cut.end() + from_frame(any_of_range(0, 3), rate);
        std::vector<double> lengths;
        add_lengths(nlohmann::json::parse(export_otio(job).text)["tracks"], lengths);
        RC_ASSERT(lengths.size() >= job.cut.spans().size());
        RC_ASSERT(std::ranges::all_of(lengths, [](double length) { return length > 0; }));
    }));
}

TEST(Export, CommaSeparatedValuesAreQuoted)
{
    std::string const text = export_csv(job_of(EditMap::identity(from_frame(100, kRates[1])), kRates[1])).text;
    EXPECT_THAT(text, HasSubstr("from,to,kind,name,section,bar\r\n"));
    EXPECT_THAT(text, HasSubstr("0:00.4,0:01.6,chord,\"F#m7, \"\"easy\"\"\",Verse,2\r\n"));
}

// OWASP, "CSV Injection": a field that begins with one of these may be run as a formula; an apostrophe before it keeps
// it text.
TEST(Export, CommaSeparatedValuesAreNoFormulas)
{
    ExportJob job = job_of(EditMap::identity(from_frame(100, kRates[1])), kRates[1]);
    job.cues.clear();
    for (char const* name : {"=1+1", "+1", "-1", "@SUM(1)", "\t=1", "\r=1", "\uFF1D1", "=HYPERLINK(\"x\",\"y\")"})
        job.cues.push_back({CueKind::text, name, "=Verse", 0, {Time{0}, from_frame(25, kRates[1])}});
    std::string const text = export_csv(job).text;
    for (char const* field : {",'=1+1,'=Verse,", ",'+1,", ",'-1,", ",'@SUM(1),", ",\"'\t=1\",", ",\"'\r=1\",",
                              ",'\uFF1D1,", ",\"'=HYPERLINK(\"\"x\"\",\"\"y\"\")\","})
        EXPECT_THAT(text, HasSubstr(field));
}

// Names with line ends and what follows them in a list: an event, a comment, another title.
TEST(Export, NamesMakeNoLinesOfTheirOwn)
{
    FrameRate const rate = kRates[1];
    std::string const event = "002  AX       V     C        00:00:00:00 00:00:01:00 01:00:00:00 01:00:01:00";
    ExportJob job = job_of(EditMap::identity(from_frame(100, rate)), rate);
    std::string const plain = export_edl(job).text;
    for (std::string const end : {"\n", "\r", "\r\n", "\x0B", "\u0085", "\u2028"}) {
        ExportJob hostile = job;
        hostile.title += end + event;
        hostile.footage += end + event;
        for (ExportCue& cue : hostile.cues)
            cue.name += end + event + "\x1B[2J\xFF";
        std::string const list = export_edl(hostile).text;
        EXPECT_EQ(std::ranges::count(list, '\n'), std::ranges::count(plain, '\n'));
        EXPECT_THAT(list, testing::Not(HasSubstr("\x1B")));
        auto const back = parse_edl_cut(list, reading(job));
        ASSERT_TRUE(back) << back.error().what;
        EXPECT_EQ(back->map, job.cut);
        hostile.footage = job.footage; // as an address it stays what it is
        EXPECT_THAT(export_otio(hostile).text, testing::Not(testing::AnyOf(HasSubstr("\\n"), HasSubstr("\\u001b"))));
        EXPECT_THAT(export_vtt(hostile).text, testing::Not(HasSubstr("\x1B")));
    }
}

// WebVTT: a blank line before each cue, hours of two digits, & < > written as entities.
TEST(Export, CaptionsHoldTheChords)
{
    std::string const text = export_vtt(job_of(EditMap::identity(from_frame(100, kRates[1])), kRates[1])).text;
    EXPECT_THAT(text, testing::StartsWith("WEBVTT\n\n"));
    EXPECT_THAT(text, HasSubstr("\n00:00:01.600 --> 00:00:02.200\n&lt;G &amp; B&gt;\n"));
    EXPECT_THAT(text, testing::Not(HasSubstr("rest")));
}

TEST(Export, SaysWhatAFormatCannotHold)
{
    ExportJob const job =
        job_of(EditMap::create({{{Time{100}, Time{705'600'100}}, {Time{0}, Time{705'600'000}}}}).value(), kRates[1]);
    EXPECT_THAT(export_edl(job).remarks, testing::Contains(HasSubstr("1 of 1 cuts lie between frames")));
    EXPECT_THAT(export_vtt(job).remarks, testing::Contains(HasSubstr("not how the film is cut")));
    EXPECT_THAT(export_csv(job).remarks, testing::SizeIs(1));
}

} // namespace
} // namespace tabard::pipeline
