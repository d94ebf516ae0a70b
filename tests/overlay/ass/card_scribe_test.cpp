#include "overlay/ass/card_scribe.h"
#include "overlay/ass/script.h"
#include "tests/overlay/drawing/samples.h"

#include <algorithm>
#include <string>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::overlay {
namespace {

using testing::HasSubstr;

std::string words_of(std::vector<CardElement const*> const& elements)
{
    std::string all;
    for (CardElement const* element : elements) {
        for (auto const& letter : element->words.letters)
            all += letter.text;
        all += element->words.letters.empty() ? "" : "|";
    }
    return all;
}

struct Scribe {
    FilmFonts fonts;
    CardScribe scribe = *CardScribe::create(Stage{}, default_theme(), fonts);
    std::vector<CardElement const*> draw(LayerContent const& content, CardScribe::Hand hand = CardScribe::Hand::right)
    {
        scribe.draw(content, std::nullopt, hand);
        return scribe.elements(content, std::nullopt, hand);
    }
};

TEST(CardScribe, KeepsWordsAsWords)
{
    Scribe scribe;
    EXPECT_EQ(words_of(scribe.draw(SectionBanner{"Chorus, slowly", "Lantern on the Quay"})),
              "Chorus, slowly|Lantern on the Quay|");
    EXPECT_EQ(
        words_of(scribe.draw(ChordCard{{"F\u266Fm", "7\u266D5", ""}, samples::kFsharpM7Flat5, {}, {}})).substr(0, 8),
        "F|m|7|5|");                                          // accidentals are drawn: their face is another
    EXPECT_EQ(words_of(scribe.draw(TextCard{"{\\b1}"})), ""); // a player would take it for a command
}

// A coloured emoji would be a picture, which no drawing can hold.
TEST(CardScribe, LosesNoEmoji)
{
    Scribe scribe;
    EXPECT_FALSE(scribe.draw(TextCard{"\U0001F525 \U0001F469\u200D\U0001F467 \u2764\uFE0F \U0001F3B8"}).empty());
    EXPECT_THAT(scribe.scribe.lost_letters(), testing::IsEmpty());
}

TEST(CardScribe, DrawsCardsWithoutADiagramOnceForBothHands)
{
    Scribe scribe;
    using Hand = CardScribe::Hand;
    CapoLine const capo{4, "C", "E"};
    EXPECT_EQ(scribe.draw(capo, Hand::left), scribe.draw(capo, Hand::right));
    ChordCard const chord{{"C", "", ""}, samples::kC, {}, {}};
    EXPECT_NE(scribe.draw(chord, Hand::left), scribe.draw(chord, Hand::right));
}

TEST(CardScribe, LaysWhatMeetsOverOneAnotherInTheOrderOfPainting)
{
    Scribe scribe;
    for (Layer const& layer : samples::everything().layers) {
        auto const elements = scribe.draw(layer.content);
        ASSERT_FALSE(elements.empty());
        EXPECT_EQ(elements.front()->depth, 0); // the plate
        for (std::size_t i = 0; i < elements.size(); ++i)
            for (std::size_t below = 0; below < i; ++below)
                if (elements[i]->bounds.meets(elements[below]->bounds)) {
                    EXPECT_GT(elements[i]->depth, elements[below]->depth);
                }
    }
}

// Tags of the format: place, fade, colour as blue, green, red, transparency, sixteenths of a pixel.
TEST(CardScribe, ElementsBecomeEvents)
{
    VectorPath area;
    area.move({32, 16});
    area.line({48, 16});
    area.line({48, 40});
    CardElement const shape{0, {0x11, 0x22, 0x33, 0x80}, area, {}, {}};
    EventFade fade;
    EXPECT_EQ(event_text(std::vector{&shape}, fade), "{\\pos(2,1)\\c&H332211&\\1a&H7F&\\p5}m 0 0 l 16 0 16 24");
    fade = {150, 800, 1000, 0.25, 0};
    EXPECT_THAT(event_text(std::vector{&shape}, fade), HasSubstr("\\fade(191,0,255,0,150,800,1000)"));
    CardElement const words{3, {0, 0, 0}, {}, {{{"A", 0}, {"V", -1.5}, {"a", 0}}, 1, {160, 480}, 20, 0.9}, {}};
    EXPECT_EQ(event_text(std::vector{&words}, {}), "{\\pos(10,14)\\c&H000000&\\fs20\\fscx90}A{\\fsp-1.5}V{\\fsp0}a");
    EXPECT_EQ(event_fields(7, words, "x"), "7,Words2,,0,0,0,,x");
}

} // namespace
} // namespace tabard::overlay
