#include "overlay/music/musicxml/musicxml.h"

#include <optional>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

using testing::HasSubstr;
using testing::Not;

std::string exported(char const* name, char const* frets = "", char const* fingers = "", int capo = 0)
{
    Harmony harmony{*ChordName::parse(name), std::nullopt};
    if (*frets != '\0')
        harmony.shape = *Shape::parse(frets, fingers);
    auto xml = to_musicxml({harmony}, Tuning{}, capo);
    std::erase_if(xml, [](char c) { return c == '\n' || c == ' '; });
    return xml;
}

// MusicXML 4.0, frame-note: a muted string has none, string 1 is the highest, frets are absolute, an open string is 0.
TEST(MusicXml, WritesAFrameAsTheStandardCountsStringsAndFrets)
{
    auto const c = exported("C", "x32010", "-32-1-");
    EXPECT_THAT(c, HasSubstr("<frame-strings>6</frame-strings><frame-frets>4</frame-frets><frame-note><string>5"));
    EXPECT_THAT(c, HasSubstr("<frame-note><string>5</string><fret>3</fret><fingering>3</fingering></frame-note>"));
    EXPECT_THAT(c, HasSubstr("<frame-note><string>1</string><fret>0</fret></frame-note>"));
    EXPECT_THAT(c, Not(HasSubstr("<string>6</string>")));
    EXPECT_THAT(c, Not(HasSubstr("first-fret")));
    EXPECT_THAT(c, Not(HasSubstr("<capo>")));
}

// MusicXML 4.0, barre: start on the lowest string, which has the highest number.
TEST(MusicXml, MarksABarreFromTheLowestStringToTheHighest)
{
    auto const e = exported("E", "x-x-14-13-12-12", "--3211");
    EXPECT_THAT(e, HasSubstr("<first-fret>12</first-fret>"));
    EXPECT_THAT(e, HasSubstr("<string>2</string><fret>12</fret><fingering>1</fingering><barretype=\"start\"/>"));
    EXPECT_THAT(e, HasSubstr("<string>1</string><fret>12</fret><fingering>1</fingering><barretype=\"stop\"/>"));
}

// The example of MusicXML 4.0 for barre: one barre inside another, at frets 12 and 14 of a frame that begins at 12.
TEST(MusicXml, NestsBarresAndCountsFretsFromTheNutNotFromTheFrame)
{
    auto const e = exported("E", "x-12-14-14-14-12", "-13331");
    EXPECT_THAT(e, HasSubstr("<first-fret>12</first-fret>"));
    for (auto const* note : {"<string>5</string><fret>12</fret><fingering>1</fingering><barretype=\"start\"/>",
                             "<string>4</string><fret>14</fret><fingering>3</fingering><barretype=\"start\"/>",
                             "<string>3</string><fret>14</fret><fingering>3</fingering></frame-note>",
                             "<string>2</string><fret>14</fret><fingering>3</fingering><barretype=\"stop\"/>",
                             "<string>1</string><fret>12</fret><fingering>1</fingering><barretype=\"stop\"/>"})
        EXPECT_THAT(e, HasSubstr(note));
}

// MusicXML 4.0, staff-details: staff-tuning is that of the open strings, capo raises it; line counts from the bottom.
TEST(MusicXml, TellsTheTuningAndTheCapo)
{
    auto const xml = exported("C", "x32010", "", 4);
    EXPECT_THAT(xml, HasSubstr("<staff-tuningline=\"1\"><tuning-step>E</tuning-step><tuning-octave>2</tuning-octave>"));
    EXPECT_THAT(xml, HasSubstr("<capo>4</capo>"));
}

struct KindCase {
    char const* name;
    char const* xml;
};

// MusicXML 4.0, kind-value and degree-alter: an added degree counts from a dominant chord, so that a minor seventh is
// 0.
constexpr KindCase kKindCases[] = {
    {"C", ">major</kind>"},
    {"Cm7b5", ">half-diminished</kind>"},
    {"CmMaj7", ">major-minor</kind>"},
    {"Cdim7", ">diminished-seventh</kind>"},
    {"C13", ">dominant-13th</kind>"},
    {"C5", ">power</kind>"},
    {"C7sus4", ">suspended-fourth</kind><degree><degree-value>7</degree-value><degree-alter>0</degree-alter>"
               "<degree-type>add</degree-type></degree>"},
    {"C7#9", ">dominant</kind><degree><degree-value>9</degree-value><degree-alter>1</degree-alter>"
             "<degree-type>add</degree-type></degree>"},
    {"C7b5", ">dominant</kind><degree><degree-value>5</degree-value><degree-alter>-1</degree-alter>"
             "<degree-type>alter</degree-type></degree>"},
    {"Cadd9", ">major</kind><degree><degree-value>9</degree-value><degree-alter>0</degree-alter>"
              "<degree-type>add</degree-type></degree>"},
    {"D/F#", ">major</kind><bass><bass-step>F</bass-step><bass-alter>1</bass-alter></bass>"},
    {"N.C.", "<kindtext=\"\">none</kind>"},
};

TEST(MusicXml, SaysTheQualityByKindAndDegrees)
{
    for (auto const& c : kKindCases)
        EXPECT_THAT(exported(c.name), HasSubstr(c.xml)) << c.name;
}

TEST(MusicXml, ReadsBackEveryChordAndShapeThatItWrites)
{
    for (auto const* name :
         {"C",       "Cm",      "C7",      "Cmaj7",   "Cm7",       "CmMaj7",   "Csus2",  "Csus4", "C7sus4",
          "Cadd9",   "Cmadd9",  "C6",      "Cm6",     "C6/9",      "C9",       "Cm9",    "Cmaj9", "Cdim",
          "Cdim7",   "Cm7b5",   "Caug",    "C7#5",    "C5",        "C7#9",     "C7b9",   "C11",   "Cm11",
          "C13",     "Cmaj13",  "C13#11",  "C7b9#5",  "C7alt",     "F#m7b5/E", "Bbmaj7", "Ab6",   "C9sus4",
          "C13sus4", "C7add13", "C7add11", "Cadd2",   "Csus2sus4", "Cmaj7#11", "Cm7no5", "C(b5)", "CmMaj9",
          "Cmadd11", "C7no3",   "Cm(#5)",  "C6add11", "N.C."}) {
        Harmony const harmony{*ChordName::parse(name), *Shape::parse("x-3-5-5-0-12", "-123-4")};
        auto const back = from_musicxml(to_musicxml({harmony}, Tuning{}));
        ASSERT_TRUE(back) << name << ": " << back.error().what;
        ASSERT_EQ(back->size(), 1u);
        ASSERT_TRUE((*back)[0]) << name << ": " << (*back)[0].error().what;
        EXPECT_EQ((*back)[0]->chord.text(), harmony.chord.text());
        EXPECT_EQ(*(*back)[0], harmony) << name;
    }
}

/// A frame of six strings: fret, finger and barre of each, low string first; "" for what is not said.
struct FrameNote {
    int fret = kMuted;
    char const* finger = "";
    char const* barre = "";
};

Shape shape_of_frame(std::vector<FrameNote> const& notes)
{
    std::string xml = "<harmony><root><root-step>C</root-step></root><kind>major</kind><frame>"
                      "<frame-strings>6</frame-strings><frame-frets>4</frame-frets>";
    for (std::size_t i = 0; i < notes.size(); ++i) {
        auto const& note = notes[i];
        if (note.fret == kMuted)
            continue;
        xml += fmt::format("<frame-note><string>{}</string><fret>{}</fret>", notes.size() - i, note.fret);
        xml += note.finger[0] == '\0' ? "" : fmt::format("<fingering>{}</fingering>", note.finger);
        xml += note.barre[0] == '\0' ? "" : fmt::format("<barre type=\"{}\"/>", note.barre);
        xml += "</frame-note>";
    }
    auto const read = from_musicxml(xml + "</frame></harmony>");
    return read && read->at(0) && read->at(0)->shape ? *read->at(0)->shape : Shape{};
}

// MusicXML 4.0, element barre: "start" on the lowest pitched string of the barre, "stop" on the highest.
TEST(MusicXml, KeepsTheBarresOfAFrameThatSaysNoFingers)
{
    auto const f = shape_of_frame({{1, "", "start"}, {3}, {3}, {2}, {1}, {1, "", "stop"}});
    EXPECT_EQ(f.barres(), (std::vector<Barre>{{1, 1, 0, 5}}));
    EXPECT_EQ(f.fingers_text(), "134211") << "the other strings have fingers then too";
    // The example of the reference: strings 5 to 1 at fret 12, 4 to 2 at fret 14, one inside the other.
    auto const nested =
        shape_of_frame({{}, {12, "", "start"}, {14, "", "start"}, {14}, {14, "", "stop"}, {12, "", "stop"}});
    EXPECT_EQ(nested.barres(), (std::vector<Barre>{{12, 1, 1, 5}, {14, 2, 2, 4}}));
}

TEST(MusicXml, LaysAFingerThatIsSaidOnceOverItsWholeBarre)
{
    auto const f = shape_of_frame({{1, "1", "start"}, {3, "3"}, {3, "4"}, {2, "2"}, {1}, {1, "", "stop"}});
    EXPECT_EQ(f.fingers_text(), "134211");
    auto const a = shape_of_frame({{}, {5, "1"}, {7, "3", "start"}, {7}, {7, "", "stop"}, {5}});
    EXPECT_EQ(a.fingers_text(), "-1333-") << "no barre is said at fret 5";
    auto const plain = shape_of_frame({{}, {3}, {2}, {0}, {1}, {0}});
    EXPECT_EQ(plain.fingers_text(), "") << "without a barre fingers stay unsaid";
}

TEST(MusicXml, RefusesWhatItCannotReadAndSaysWhy)
{
    EXPECT_EQ(from_musicxml("<harmony>").error().kind, ErrorKind::decode);
    auto const both = from_musicxml("<a><harmony><root><root-step>F</root-step></root><kind>Tristan</kind></harmony>"
                                    "<harmony><root><root-step>G</root-step></root><kind>major</kind></harmony></a>");
    ASSERT_EQ(both->size(), 2u);
    EXPECT_EQ(both->at(0).error().kind, ErrorKind::unsupported);
    EXPECT_THAT(both->at(0).error().what, HasSubstr("Tristan"));
    EXPECT_EQ(both->at(1)->chord.text(), "G") << "one chord that is not understood stops no other";
    EXPECT_EQ(from_musicxml("<a/>")->size(), 0u);
}

} // namespace
} // namespace tabard::overlay
