#include "overlay/music/names/chord_name.h"
#include "pipeline/cues/chord_annotations.h"
#include "pipeline/cues/reader.h"
#include "pipeline/cues/starter.h"
#include "pipeline/cues/writer.h"
#include "pipeline/time/timecode.h"

#include <string>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::StartsWith;

constexpr Interval kFilm{Time{0}, from_ticks(60, 1, 1)};

/// "0:02.612 0:05.000 C" a chord; the errors where it is refused.
std::vector<std::string> read(std::string const& text, Interval film = kFilm)
{
    auto const annotations = parse_chord_annotations(text, film);
    std::vector<std::string> lines;
    if (!annotations) {
        for (auto const& error : annotations.error().errors)
            lines.push_back(fmt::format("{}:{}: {}", error.at.line, error.at.column, error.what));
        return lines;
    }
    for (auto const& chord : annotations->chords)
        lines.push_back(print_time(chord.from) + " " + print_time(chord.to) + " " + chord.chord);
    return lines;
}

std::vector<std::string> remarks(std::string const& text, Interval film = kFilm)
{
    std::vector<std::string> lines;
    if (auto const annotations = parse_chord_annotations(text, film))
        for (auto const& remark : annotations->remarks)
            lines.push_back(fmt::format("{}:{}: {}", remark.at.line, remark.at.column, remark.what));
    return lines;
}

TEST(ChordAnnotations, AreReadToTheMillisecond)
{
    // 2.6124 and 5.2245 s round to 2.612 and 5.225 (halves up: 5.2245 is 5224.5 ms).
    std::string const text =
        "0.000000\t2.612400\tN\n2.612400\t5.224500\tE:min\n5.224500 7.5 G/3\n7.5 9 N\n9 10 A:7\n10 12 N\n";
    EXPECT_THAT(read(text), ElementsAre("0:02.612 0:05.225 Em", "0:05.225 0:07.500 G/B", "0:07.500 0:09.000 N.C.",
                                        "0:09.000 0:10.000 A7"));
    EXPECT_THAT(remarks(text), IsEmpty());
}

TEST(ChordAnnotations, MayBeWrittenInManyWays)
{
    std::vector<std::string> const same{"0:01.500 0:15.000 C", "0:15.000 0:16.250 A/E"};
    for (std::string const text :
         {"1.5 15 C:maj\n15 16.25 A:maj/5",
          "\xEF\xBB\xBF"
          "1.5\t15\tC:maj\r\n15\t16.25\tA:maj/5\r\n",
          "1.5 15 C:maj\r15 16.25 A:maj/5\r",
          "\n# a comment\n1.5 15 C:maj # another\n\n% third\n// fourth\n; fifth\n15 16.25 A:maj/5\n",
          "1,5 15,0 C:maj\n15,0 16,25 A:maj/5", "1.5,15,C:maj\n15,16.25,A:maj/5", "1,5;15;C:maj\n15;16,25;A:maj/5",
          "1.5, 15, C:maj\n15, 16.25, \"A:maj/5\"", "start,end,label\n1.5,15,C:maj\n15,16.25,A:maj/5",
          "start end chord\n1.5 15 C:maj\n15 16.25 A:maj/5", "1.5e0 1.5E+1 C:maj\n150e-1 1625e-2 A:maj/5",
          "0:01.5 0:15 C:maj\n0:15 0:16.25 A:maj/5", "  1.5 \t 15   C:maj  \n15 16.25 A:maj/5   ",
          "1.5 7 C:maj\n7 15 C\n15 16.25 A:maj/5\n", "1.5 7 C:maj\n7.004 15.003 C\n15 16.25 A:maj/5\n"})
        EXPECT_EQ(read(text), same) << text;
    std::string utf16 = "\xFE\xFF";
    for (char const sign : std::string{"1.5 15 C\n15 16.25 A/5"})
        utf16 += {'\0', sign};
    EXPECT_EQ(read(utf16), same);
}

TEST(ChordAnnotations, AreRefusedWithEveryPlace)
{
    EXPECT_THAT(read("0 x C\n1 2 D\n3 2 E\n4 5\n5 6 F m\n-1 2 G\n1e9 2e9 A\nnan 3 B\n1e999 2 B\n"),
                ElementsAre(StartsWith("1:3: 'x' is no time"), StartsWith("3:3: the chord ends at 2 and begins at 3"),
                            StartsWith("4:4: 2 columns"), StartsWith("5:7: 4 columns"),
                            StartsWith("6:1: '-1' lies before the film"), StartsWith("7:1: '1e9' seconds are no time"),
                            StartsWith("7:5: '2e9' seconds are no time"), StartsWith("8:1: 'nan' is no time"),
                            StartsWith("9:1: '1e999' seconds are no time")));
    EXPECT_THAT(read(""), ElementsAre(HasSubstr("the file has no chord")));
    EXPECT_THAT(read("0 10 N\n"), ElementsAre(HasSubstr("the file has no chord")));
    EXPECT_THAT(read("0 10 foo\n"), ElementsAre(HasSubstr("no chord is left of the file; 'foo' is no chord label")));
    EXPECT_THAT(read("{\"tabard\": 1}"), ElementsAre(HasSubstr("the file has no chord")));
    EXPECT_THAT(read("WEBVTT\n\n00:01.000 --> 00:02.000\nC\n"), testing::Contains(HasSubstr("4:2: 1 column;")));
    EXPECT_THAT(read("61 70 C\n"), ElementsAre(HasSubstr("begins after the film's end")));
}

TEST(ChordAnnotations, LabelsThatAreNoneLoseTheirLineAlone)
{
    std::string const text = "0 1 C\n1 2 C:foo\n2 3 X\n3 4 C:maj7(b7)\n";
    EXPECT_THAT(read(text), ElementsAre("0:00.000 0:01.000 C", "0:03.000 0:04.000 C7"));
    EXPECT_THAT(
        remarks(text),
        ElementsAre(StartsWith("2:7: 'C:foo' is no chord label: 'foo' is no quality"), StartsWith("3:5: X is a"),
                    StartsWith("4:5: no chord name has the notes of 'C:maj7(b7)' (C E G Bb B); the nearest, C7")));
}

TEST(ChordAnnotations, GapsOverlapsAndDisorderAreSaid)
{
    EXPECT_THAT(read("0 1 C\n2 3 D\n"), ElementsAre("0:00.000 0:01.000 C", "0:02.000 0:03.000 D"));
    EXPECT_THAT(remarks("0 1 C\n2 3 D\n"),
                ElementsAre(StartsWith("2:1: no line says what sounds from 0:01.000 to 0:02.000")));
    EXPECT_THAT(read("0 2 C\n1 3 D\n"), ElementsAre("0:00.000 0:01.000 C", "0:01.000 0:03.000 D"));
    EXPECT_THAT(remarks("0 2 C\n1 3 D\n"), ElementsAre(StartsWith("1:1: the line from 0:00.000 to 0:02.000 goes on")));
    EXPECT_THAT(read("1 2 D\n0 1 C\n"), ElementsAre("0:00.000 0:01.000 C", "0:01.000 0:02.000 D"));
    EXPECT_THAT(remarks("1 2 D\n0 1 C\n"), ElementsAre(StartsWith("2:1: this line begins before the one above")));
    EXPECT_THAT(read("0 1 C\n0 1 D\n"), ElementsAre("0:00.000 0:01.000 D"));
    EXPECT_THAT(remarks("0 1 C\n0 1 D\n"), testing::Contains(HasSubstr("it ends there")));
    EXPECT_THAT(read("0 1 C\n1 1 E\n1 2 D\n"), ElementsAre("0:00.000 0:01.000 C", "0:01.000 0:02.000 D"));
    EXPECT_THAT(remarks("0 1 C\n1 1 E\n1 2 D\n"), ElementsAre(StartsWith("2:1: E lasts less than a millisecond")));
}

TEST(ChordAnnotations, StayInTheFilm)
{
    Interval const film{from_ticks(1, 1, 2), from_ticks(10, 1, 1)};
    std::string const text = "0 5 C\n5 12 D\n12 13 E\n13 14 F\n14 20 N\n";
    EXPECT_THAT(read(text, film), ElementsAre("0:00.500 0:05.000 C", "0:05.000 0:10.000 D"));
    EXPECT_THAT(remarks(text, film),
                ElementsAre(StartsWith("3:1: this chord and 1 more begin after the film's end at 0:10.000")));
}

TEST(ChordAnnotations, WhatIsTooShortToBeReadIsLeftOut)
{
    auto const read = parse_chord_annotations(
        "0 1 C\n1 1.2 D\n1.2 2 C\n2 2.2 G\n2.2 2.4 G\n2.4 2.5 N\n2.5 2.6 A\n3 4 E\n", kFilm, from_ticks(4, 1, 10));
    ASSERT_TRUE(read);
    std::vector<AnnotatedChord> const expected{{Time{0}, from_ticks(2, 1, 1), "C", {}},
                                               {from_ticks(2, 1, 1), from_ticks(26, 1, 10), "G", {}},
                                               {from_ticks(3, 1, 1), from_ticks(4, 1, 1), "E", {}}};
    EXPECT_EQ(read->chords, expected);
    ASSERT_EQ(read->remarks.size(), 4U); // D, N.C., A, and the gap
    EXPECT_EQ(read->remarks[0], (AnnotationRemark{{2, 1}, "D lasts 0.2 s, too short to be read; it is left out"}));
}

std::string chord_at(std::vector<ShowCue> const& cues, Time time, Time end)
{
    std::string chord = "N.C.";
    for (std::size_t i = 0; i < cues.size(); ++i) {
        Time const to = cues[i].to ? **cues[i].to : i + 1 < cues.size() ? *cues[i + 1].from : end;
        if (*cues[i].from <= time && time < to)
            chord = cues[i].chord;
    }
    return chord;
}

// Any chords at any times, written as annotations here, are the same chord at every instant of the cue file.
RC_GTEST_PROP(ChordAnnotations, AreTheSameChordAtEveryInstantOfTheCueFile, ())
{
    struct Span {
        std::int64_t from_ms;
        std::int64_t to_ms;
        std::string name;
    };
    struct Said {
        char const* label;
        char const* name; ///< the same by hand
    };
    static std::vector<Said> const kSaid{{"N", "N.C."},     {"C:maj", "C"},         {"A:min7", "Am7"},
                                         {"G:7/3", "G7/B"}, {"F#:hdim7", "F#m7b5"}, {"Bb:sus4(b7)", "Bb7sus4"},
                                         {"D:(1,5)", "D5"}, {"X", "N.C."}};
    std::vector<Span> spans;
    std::string lab;
    std::int64_t at = *rc::gen::inRange(0, 3000);
    for (int i = 0, count = *rc::gen::inRange(1, 20); i < count; ++i) {
        std::int64_t const to = at + *rc::gen::inRange(20, 4000);
        Said const said = i == 0 ? kSaid[1] : *rc::gen::elementOf(kSaid);
        lab += fmt::format("{}.{:03}000 {}.{:03}000 {}\n", at / 1000, at % 1000, to / 1000, to % 1000, said.label);
        spans.push_back({at, to, said.name});
        at = to + (*rc::gen::arbitrary<bool>() ? 0 : *rc::gen::inRange(11, 2000));
    }
    Time const end = from_ticks(at + 1000, 1, 1000);
    auto const annotations = parse_chord_annotations(lab, {Time{0}, end});
    RC_ASSERT(annotations.has_value());
    Starter starter;
    starter.title = "Lantern on the Quay";
    starter.footage = "film.mp4";
    starter.duration = end;
    starter.chords = annotations->chords;
    auto const document = starter_document(starter);
    RC_ASSERT(document.has_value());
    auto const reading = parse_lesson(document_text(*document), {});
    RC_ASSERT(reading.lesson.has_value());
    for (Finding const& finding : reading.findings)
        RC_ASSERT(finding.severity != Severity::error);
    auto const& cues = reading.lesson->sections.at(0).show;
    for (std::int64_t ms = 0; ms < at + 1000; ms += 7) {
        std::string wanted = "N.C.";
        for (Span const& span : spans)
            if (span.from_ms <= ms && ms < span.to_ms)
                wanted = span.name;
        RC_ASSERT(chord_at(cues, from_ticks(ms, 1, 1000), end) == wanted);
    }
}

} // namespace
} // namespace tabard::pipeline
