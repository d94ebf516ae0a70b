#include "overlay/base/caseless.h"

#include <gtest/gtest.h>

namespace tabard {
namespace {

// The Unicode Standard: U+00C9 is E with acute, U+0301 the acute alone; sharp s folds to ss, the ligature fi to f and
// i.
TEST(Caseless, ComparesLettersAndNotTheirForms)
{
    EXPECT_EQ(caseless("CAF\u00C9.MP4"), "caf\u00E9.mp4");
    EXPECT_EQ(caseless("cafe\u0301"), "caf\u00E9");
    EXPECT_EQ(caseless("Stra\u00DFe"), "strasse");
    EXPECT_EQ(caseless("\uFB01lm"), "film");
    EXPECT_EQ(caseless(""), "");
    EXPECT_NE(caseless("cafe"), caseless("caf\u00E9"));
}

TEST(Caseless, TakesBytesThatAreNoText) { EXPECT_EQ(caseless("A\xFFz"), "a\xFFz"); }

} // namespace
} // namespace tabard
