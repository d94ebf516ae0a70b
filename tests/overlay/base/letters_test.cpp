#include "overlay/base/letters.h"
#include "tests/support/run_program.h"

#include <random>
#include <sstream>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <gtest/gtest.h>

namespace tabard {
namespace {

/// One letter each, with the rule of Unicode Standard Annex #29, section 3.1.1, that keeps it whole.
struct Letter {
    char const* bytes;
    char const* rule;
};
constexpr Letter kLetters[] = {
    {"b", "GB999"},
    {"e\u0301", "GB9: a letter and its accent"},
    {"q\u0323\u0307\u0302", "GB9: three marks on one letter"},
    {"\u1112\u1161\u11AB", "GB6 to GB8: Hangul of three parts"},
    {"\u1100\u1161", "GB6: Hangul of two parts"},
    {"\uAC00\u11A8", "GB7: a Hangul syllable and a last part"},
    {"\u0915\u093F", "GB9a: Devanagari with a vowel sign that stands before it"},
    {"\u0BA8\u0BBF", "GB9a: Tamil with a vowel sign after it"},
    {"\u0E01\u0E33", "GB9a: Thai sara am"},
    {"\u0600\u0661", "GB9b: an Arabic number sign goes before what it counts"},
    {"\U0001F468\u200D\U0001F469\u200D\U0001F467", "GB11: a family, joined"},
    {"\U0001F44B\U0001F3FD", "GB9: a hand and its tone"},
    {"\u2764\uFE0F", "GB9: a heart shown as an emoji"},
    {"\U0001F1E9\U0001F1EA", "GB12: a flag of two letters"},
    {"1\uFE0F\u20E3", "GB9: a key-cap"},
    {"\r\n", "GB3: one line end"},
};

TEST(Letters, AreCountedAsReadersCount)
{
    EXPECT_EQ(count_letters(""), 0U);
    for (auto const& [bytes, rule] : kLetters)
        EXPECT_EQ(count_letters(bytes), 1U) << rule;
    // GB13: pairs of letters make flags; a fifth one stands alone.
    EXPECT_EQ(count_letters("\U0001F1E9\U0001F1EA\U0001F1EB\U0001F1F7\U0001F1E9"), 3U);
    EXPECT_EQ(count_letters("caf\351!"), 5U); // a byte that is no UTF-8
}

TEST(Letters, AreNeverCutAndAnEllipsisSaysThatThereWasMore)
{
    EXPECT_EQ(shortened("Der kleine Finger bleibt stehen", 24), "Der kleine Finger bleib\u2026"); // 23 and the ellipsis
    EXPECT_EQ(shortened("Der kleine Finger bleibt", 24), "Der kleine Finger bleibt");
    EXPECT_EQ(shortened("The hand waits", 9), "The hand\u2026") << "no blank before it";
    EXPECT_EQ(shortened("", 3), "");
    EXPECT_EQ(shortened("word", 0), "\u2026");
    for (auto const& [bytes, rule] : kLetters) {
        std::string const letter = bytes;
        std::string const before = "a" + letter;
        EXPECT_EQ(shortened(before + "yz", 3, 99), before + "\u2026") << rule;
        EXPECT_EQ(shortened(before + "yz", 2, 99), "a\u2026") << rule;
        for (std::size_t most = 1; most < before.size(); ++most)
            EXPECT_EQ(first_letters(before, most), "a") << rule;
        EXPECT_EQ(first_letters(before, before.size()), before) << rule;
        EXPECT_EQ(last_letters(before, before.size()), before) << rule;
        if (letter != "\r\n" && letter.size() > 1) {
            EXPECT_EQ(last_letters("a" + letter, letter.size() - 1), "") << rule;
            EXPECT_EQ(last_letters("a" + letter, letter.size()), letter) << rule;
        }
    }
}

TEST(Letters, PiledUpWithoutEndStillFit)
{
    std::string tower = "o";
    for (int i = 0; i < 5'000; ++i)
        tower += "\u0300";
    EXPECT_EQ(count_letters(tower), 1U);
    EXPECT_EQ(shortened("w" + tower, 24), "w\u2026");
    EXPECT_EQ(shortened(tower, 24), "\u2026");
}

/// The bytes of each letter, as "1 3 8".
std::string lengths(std::string_view text)
{
    std::string said;
    while (!text.empty()) {
        std::string_view const letter = next_letter(text);
        said += (said.empty() ? "" : " ") + std::to_string(letter.size());
        text.remove_prefix(letter.size());
    }
    return said;
}

// Perl's \X is the extended grapheme cluster of UAX #29 (perlrebackslash): five hundred texts of hard signs.
TEST(Letters, EndWherePerlEndsThem)
{
    std::vector<std::string> const signs{"a",      "e",          "\u0301", "\u0323",     "\u1100",     "\u1161",
                                         "\u11A8", "\uAC00",     "\uAC01", "\u0E33",     "\u0BBF",     "\u0600",
                                         "\u200D", "\U0001F468", "\u2764", "\U0001F3FD", "\U0001F1E9", "\U0001F1EA",
                                         "\u00A9", "\u200B",     " ",      "\uFE0F"};
    std::mt19937 random{29};
    std::vector<std::string> texts(500);
    for (auto& text : texts)
        for (auto left = 1 + random() % 12; left > 0; --left)
            text += signs[random() % signs.size()];
    tests::TemporaryFolder const folder;
    tests::write_text(folder / "texts", fmt::format("{}\n", fmt::join(texts, "\n")));
    auto const perl =
        tests::run_program({"perl", "-mbytes", "-lne",
                            "utf8::decode($_); print join ' ', map { bytes::length($_) } /\\X/g", folder / "texts"});
    ASSERT_EQ(perl.exit, 0) << perl.err;
    std::istringstream answers{perl.out};
    for (auto const& text : texts) {
        std::string answer;
        ASSERT_TRUE(std::getline(answers, answer));
        EXPECT_EQ(lengths(text), answer) << text;
    }
}

} // namespace
} // namespace tabard
