#include "pipeline/publish/read_captions.h"

#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using namespace std::string_literals;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::StartsWith;

/// "1000 2000 text" a caption, or the error.
std::vector<std::string> read(std::string const& text)
{
    auto const reading = parse_captions(text);
    if (!reading)
        return {"refused: " + reading.error().what};
    std::vector<std::string> captions;
    for (Caption const& caption : reading->file.captions)
        captions.push_back(std::to_string(to_ticks(caption.from, 1, 1000)) + " " +
                           std::to_string(to_ticks(caption.to, 1, 1000)) + " " + caption.text);
    return captions;
}

std::vector<std::string> left_out_of(std::string const& text)
{
    auto const reading = parse_captions(text);
    return reading ? reading->left_out : std::vector<std::string>{"refused: " + reading.error().what};
}

TEST(CaptionFiles, ReadWebVttWithEverythingItMayHold)
{
    // By hand after the W3C WebVTT draft: mark, header text, NOTE, STYLE, identifiers, settings, hours left out, CRLF.
    auto const file =
        parse_captions("\xEF\xBB\xBFWEBVTT lesson\r\nKind: captions\r\n\r\nNOTE\r\nnobody --> reads\r\n\r\n"
                       "STYLE\r\n::cue { color: white }\r\n\r\nfirst\r\n00:01.500 --> 00:02.750 line:0 "
                       "align:start\r\n<v Ann>One &amp; two\r\nlines\r\n\r\n"
                       "01:00:00.000 --> 01:00:01.000\r\nlate");
    ASSERT_TRUE(file) << file.error().what;
    ASSERT_EQ(file->file.captions.size(), 2u);
    EXPECT_EQ(file->file.captions[0].from, from_ticks(1500, 1, 1000));
    EXPECT_EQ(file->file.captions[0].to, from_ticks(2750, 1, 1000));
    EXPECT_EQ(file->file.captions[0].id, "first");
    EXPECT_EQ(file->file.captions[0].settings, "line:0 align:start");
    EXPECT_EQ(file->file.captions[0].text, "<v Ann>One &amp; two\nlines");
    EXPECT_EQ(file->file.captions[1].from, from_seconds(3600));
    EXPECT_EQ(file->file.blocks.size(), 1u);
}

TEST(CaptionFiles, ReadSubRipAsPlainTextWithItsFewTags)
{
    auto const file =
        parse_captions("1\n00:00:01,000 --> 00:00:02,000\nRock & <i>Roll</i> <3\n<font color=red>x</font>\n\n"
                       "2\n00:00:03,000 --> 00:00:04,000\nC --> D\n");
    ASSERT_TRUE(file);
    EXPECT_EQ(file->file.captions[0].text, "Rock &amp; <i>Roll</i> &lt;3\nx");
    EXPECT_EQ(plain_text(file->file.captions[1].text), "C --> D");
    EXPECT_THAT(webvtt(file->file), HasSubstr("C --&gt; D"));
}

// W3C WebVTT 6.1 (U+0000 becomes U+FFFD, all three line ends) and 6.3 (only an empty line ends a block).
TEST(CaptionFiles, WebVttLinesAreDividedAsTheStandardSays)
{
    using namespace std::string_literals;
    auto const file =
        parse_captions("WEBVTT\n\n00:01.000-->00:02.000\none\n \ntwo\r\r00:03.000\t-->\t00:04.000\r\na\0b\n"s);
    ASSERT_TRUE(file) << file.error().what;
    ASSERT_EQ(file->file.captions.size(), 2U);
    EXPECT_EQ(file->file.captions[0].text, "one\n \ntwo");
    EXPECT_EQ(file->file.captions[1].text, "a\uFFFDb");
    EXPECT_EQ(parse_captions(webvtt(file->file))->file, file->file);
}

// W3C WebVTT 6.3: a line with an arrow ends the block before it; SubRip's readers do the same at a timing.
TEST(CaptionFiles, ReadACueThatFollowsWithoutAnEmptyLine)
{
    for (std::string const& text :
         {std::string{"WEBVTT\n\nNOTE a --> b\nc\n\n00:01.000 --> 00:02.000\none\n00:03.000 --> 00:04.000\ntwo\n"},
          std::string{"1\n00:00:01,000 --> 00:00:02,000\none\n2\n00:00:03,000 --> 00:00:04,000\ntwo\n"}}) {
        auto const file = parse_captions(text);
        ASSERT_TRUE(file) << file.error().what;
        ASSERT_EQ(file->file.captions.size(), 2U);
        EXPECT_EQ(file->file.captions[0].text, "one");
        EXPECT_EQ(file->file.captions[1].text, "two");
    }
}

// The five forms of badly written files below are what W3C WebVTT 6 says of them, clause by clause; samples of our own.

TEST(WebVtt, AWrongArrowLosesItsCueAlone)
{
    // 6.3: a block without "-->" in its first or second line is no cue. 6.4: nothing but blanks around the arrow.
    std::string const text = "WEBVTT\n\n00:01.000 -> 00:02.000\na\n\n00:03.000 --> 00:04.000\nb\n\n"
                             "00:05.000 ---> 00:06.000\nc\n\n00:07.000-->00:08.000\nd\n\n00:09.000 -- > 00:10.000\ne\n";
    EXPECT_THAT(read(text), ElementsAre("3000 4000 b", "7000 8000 d"));
    EXPECT_THAT(left_out_of(text), ElementsAre(StartsWith("line 3: there is no arrow"), StartsWith("line 9: "),
                                               StartsWith("line 15: there is no arrow")));
}

TEST(WebVtt, EveryKindOfLineEndCounts)
{
    for (std::string const end : {"\n", "\r", "\r\n"}) { // 6.1, step 1
        std::string text = "WEBVTT\n\n\n1\n00:01.000 --> 00:02.000\na\nb\n\n\n\n00:03.000 --> 00:04.000\nc";
        for (auto at = text.find('\n'); at != std::string::npos; at = text.find('\n', at + end.size()))
            text.replace(at, 1, end);
        EXPECT_THAT(read(text), ElementsAre("1000 2000 a\nb", "3000 4000 c"));
        EXPECT_THAT(left_out_of(text), IsEmpty());
    }
    EXPECT_THAT(read("WEBVTT\r\r\n00:01.000 --> 00:02.000\na\r\n\rb"), ElementsAre("1000 2000 a"));
}

TEST(WebVtt, ANullIsAReplacementCharacter)
{
    EXPECT_THAT(read("WEBVTT\0\n\n00:01.000 --> 00:02.000\na"s), ElementsAre(HasSubstr("line 1: this is no WebVTT")));
    EXPECT_THAT(read("WEBVTT \0\n\n\0\n00:01.000 --> 00:02.000\n\0a\0"s), ElementsAre("1000 2000 \uFFFDa\uFFFD"));
    EXPECT_THAT(read("WEBVTT\n\n00:01.0\00 --> 00:02.000\na\n\n00:03.000 --> 00:04.000\nb"s),
                ElementsAre("3000 4000 b"));
}

TEST(WebVtt, TimesAreWrittenWithAllTheirDigits)
{
    // 6.4, "collect a WebVTT timestamp": minutes and seconds of two digits, any hours, three digits after a full stop.
    struct Case {
        char const* from;
        char const* read;
    };
    for (Case const& c : {Case{"00:01.000", "1000"},
                          Case{"00:00:01.000", "1000"},
                          Case{"0:00:01.000", "1000"},
                          Case{"000000:00:01.000", "1000"},
                          Case{"123:00:00.000", "442800000"},
                          Case{"0:01.000", ""},
                          Case{"00:1.000", ""},
                          Case{"00:01.00", ""},
                          Case{"00:01.0", ""},
                          Case{"00:01.0000", ""},
                          Case{"00:01", ""},
                          Case{"01.000", ""},
                          Case{"00:01,000", ""},
                          Case{"00:60.000", ""},
                          Case{"60:00.000", ""},
                          Case{"00:60:00.000", ""},
                          Case{"-00:01.000", ""},
                          Case{"+00:01.000", ""},
                          Case{"00:01.000x", ""},
                          Case{"000:01.000", ""},
                          Case{"00:00:00:01.000", ""},
                          Case{"", ""}}) {
        auto const captions =
            read("WEBVTT\n\n"s + c.from + " --> 999:00:00.000\na\n\n999:01:00.000 --> 999:02:00.000\nlast");
        if (*c.read == '\0')
            EXPECT_THAT(captions, ElementsAre(testing::EndsWith("last"))) << c.from;
        else
            EXPECT_THAT(captions, ElementsAre(StartsWith(c.read + " "s), testing::EndsWith("last"))) << c.from;
    }
    EXPECT_THAT(read("WEBVTT\n\n00:01.000 --> 00:02.0\na\n\n00:03.000 --> 00:04.000 x\nb"), ElementsAre("3000 4000 b"));
}

TEST(WebVtt, BlanksAroundTimesDoNotCount)
{
    // 6.4: white space is skipped before, between and after; 6.3: a line of blanks is no empty line.
    EXPECT_THAT(read("WEBVTT\t\n\n \f\t00:01.000\f-->\t \t00:02.000\f \na\n \n\t\nb\n\n00:03.000 --> 00:04.000\nc"),
                ElementsAre("1000 2000 a\n \n\t\nb", "3000 4000 c"));
    EXPECT_THAT(read("WEBVTT\n\n00:01 .000 --> 00:02.000\na\n\n00: 03.000 --> 00:04.000\nb"),
                ElementsAre(StartsWith("refused: no caption can be read; line 3: '00:01' is no time")));
}

TEST(WebVtt, TheHeaderEndsWhereACueBegins)
{
    EXPECT_THAT(read("WEBVTT\n00:01.000 --> 00:02.000\na"), ElementsAre("1000 2000 a")); // 6.1, step 9; 6.3
    EXPECT_THAT(read("WEBVTT x --> y\nz\n00:01.000 --> 00:02.000\na"), ElementsAre("1000 2000 a"));
    for (char const* text : {"WEBVTTx\n\n00:01.000 --> 00:02.000\na", "webvtt\n\n00:01.000 --> 00:02.000\na",
                             "\nWEBVTT\n\n00:01.000 --> 00:02.000\na", " WEBVTT\n\n00:01.000 --> 00:02.000\na"})
        EXPECT_THAT(read(text), ElementsAre(HasSubstr("this is no WebVTT"))) << text;
}

TEST(WebVtt, TextThatNoTimeStandsOverIsSaid)
{
    std::string const text =
        "WEBVTT\n\n00:01.000 --> 00:02.000\n\na\n\nNOTE\nb\n\none\ntwo\n00:03.000 --> 00:04.000\nc\n\n"
        "STYLE\n::cue {}\n";
    EXPECT_THAT(read(text), ElementsAre("3000 4000 c"));
    EXPECT_THAT(left_out_of(text), ElementsAre(StartsWith("line 5: no time stands over this text"),
                                               StartsWith("line 10: no time stands over this text"),
                                               StartsWith("line 15: a STYLE block")));
}

TEST(WebVtt, AnArrowInATextIsSaid)
{
    std::string const text = "WEBVTT\n\n00:01.000 --> 00:02.000\na\nC --> D\nb\n\n00:03.000 --> 00:04.000\nc";
    EXPECT_THAT(read(text), ElementsAre("1000 2000 a", "3000 4000 c"));
    EXPECT_THAT(left_out_of(text), ElementsAre("line 5: no text may hold an arrow; write it as --&gt;"));
}

TEST(WebVtt, KeepsTheSettingsThatItKnows)
{
    auto const reading =
        parse_captions("WEBVTT\n\n00:01.000 --> 00:02.000 line:0 colour:red align:\tsize:50% :x --> y\na");
    ASSERT_TRUE(reading);
    EXPECT_EQ(reading->file.captions.at(0).settings, "line:0 size:50%");
}

TEST(SubRip, AWrongTimeLosesItsCaptionAlone)
{
    std::string const text =
        "1\n00:00:01,000 -> 00:00:02,000\na\n\n2\n00:00:03,0 --> 00:00:04,000\nb\n\n"
        "3\n00:00:05,000 --> 00:00:06,000\n{\\an8}c\n\nd\n\n4\n0:00:07.000-->0:00:08.000 X1:1\ne\n";
    EXPECT_THAT(read(text), ElementsAre("5000 6000 c", "7000 8000 e"));
    EXPECT_THAT(left_out_of(text), ElementsAre(StartsWith("line 2: there is no arrow between"),
                                               StartsWith("line 6: '00:00:03,0' is no time"),
                                               StartsWith("line 13: no time stands over this text")));
}

TEST(CaptionFiles, AnEndBeforeItsStartIsNamedAsThat)
{
    for (char const* text : {"WEBVTT\n\n00:02.000 --> 00:01.000\nx\n\n00:03.000 --> 00:04.000\ny",
                             "\n1\n00:00:02,000 --> 00:00:01,000\nx\n\n2\n00:00:03,000 --> 00:00:04,000\ny"}) {
        EXPECT_THAT(read(text), ElementsAre("3000 4000 y"));
        EXPECT_THAT(left_out_of(text),
                    ElementsAre("line 3: it ends at 0:01.000 and begins at 0:02.000; let it end later"));
    }
}

TEST(CaptionFiles, TimesThatNoFilmHasAreLeftOutAndDoNotOverflow)
{
    for (char const* hours : {"4000000", "999999999", "99999999999999999999999"})
        EXPECT_THAT(read("WEBVTT\n\n"s + hours + ":00:00.000 --> " + hours + ":00:01.000\nx"),
                    ElementsAre(HasSubstr("line 3: '"s + hours + ":00:00.000' lies beyond 1000000 hours")));
    EXPECT_TRUE(parse_captions("WEBVTT\n\n1000000:00:00.000 --> 1000000:00:01.000\nx"));
}

TEST(CaptionFiles, AreRefusedWhereNothingIsLeft)
{
    EXPECT_THAT(read(""), ElementsAre("refused: the file is empty"));
    EXPECT_THAT(read("WEBVTT\n\nNOTE nothing\n"), ElementsAre("refused: the file holds no captions"));
    EXPECT_THAT(read("From,To\n1,2\n"),
                ElementsAre(HasSubstr("neither WebVTT, whose first line is WEBVTT, nor SubRip")));
    EXPECT_THAT(read("WEBVTT\n\n00:01,000 --> 00:02,000\nx"),
                ElementsAre("refused: no caption can be read; line 3: '00:01,000' has a comma; in WebVTT a full stop "
                            "stands before the thousandths"));
}

TEST(CaptionFiles, AreReadInUtf16AndNotInOtherEncodings)
{
    std::string utf16 = "\xFF\xFE";
    for (char const sign : "1\n00:00:01,000 --> 00:00:02,000\nx"s)
        utf16 += {sign, '\0'};
    EXPECT_THAT(read(utf16), ElementsAre("1000 2000 x"));
    EXPECT_THAT(read("1\n00:00:01,000 --> 00:00:02,000\nGr\xFC"
                     "n"),
                ElementsAre("refused: line 3: some letters are not UTF-8; save the captions as UTF-8"));
    std::string const webvtt = "WEBVTT\n\n00:01.000 --> 00:02.000\nGr\xFC"
                               "n"; // 6.1: decoded with U+FFFD
    EXPECT_THAT(read(webvtt), ElementsAre("1000 2000 Gr\uFFFDn"));
    EXPECT_THAT(left_out_of(webvtt), ElementsAre(HasSubstr("line 4: letters that are not UTF-8")));
}

} // namespace
} // namespace tabard::pipeline
