#include "pipeline/machine/allowance.h"
#include "pipeline/machine/memory.h"
#include "pipeline/machine/processors.h"

#include <limits>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

TEST(Allowance, IsEveryProcessorWhereMemoryIsNoMatter)
{
    EXPECT_EQ(workers_for({}, 1), usable_processors());
    EXPECT_EQ(workers_for({}, 0), usable_processors());
}

TEST(Allowance, IsAsManyJobsAsWereAskedForAndMemoryHolds)
{
    EXPECT_EQ(workers_for({8, std::nullopt}, 1), 8);
    EXPECT_EQ(workers_for({8, 1000}, 125), 8);
    EXPECT_EQ(workers_for({8, 1000}, 126), 7);
    EXPECT_EQ(workers_for({1, 1000}, 10), 1);
}

TEST(Allowance, IsAtLeastOneJob)
{
    EXPECT_EQ(workers_for({8, 10}, 1000), 1);
    EXPECT_EQ(workers_for({}, std::numeric_limits<std::int64_t>::max()), 1);
}

TEST(Allowance, IsAQuarterOfTheMemoryThatIsFree)
{
    auto const free = available_memory();
    ASSERT_TRUE(free);
    EXPECT_EQ(workers_for({100, std::nullopt}, *free / 2), 1);
    int const eighths = workers_for({100, std::nullopt}, *free / 40);
    EXPECT_GE(eighths, 9); // other processes come and go meanwhile
    EXPECT_LE(eighths, 11);
}

TEST(Allowance, ReadsSizesOfMemory)
{
    EXPECT_EQ(*parse_memory("3000000"), 3'000'000);
    EXPECT_EQ(*parse_memory("800M"), 838'860'800);
    EXPECT_EQ(*parse_memory("800MB"), 838'860'800);
    EXPECT_EQ(*parse_memory("1.5G"), 1'610'612'736);
    EXPECT_EQ(*parse_memory("2GiB"), 2'147'483'648);
    EXPECT_EQ(*parse_memory("64K"), 65'536);
    EXPECT_EQ(*parse_memory("1T"), 1'099'511'627'776);
}

TEST(Allowance, RefusesWhatIsNoSizeAndSaysHowToWriteOne)
{
    for (char const* text : {"", "M", "-2G", "0", "2X", "2G5", "nan", "inf", "1e300", "2 G"}) {
        auto const refused = parse_memory(text);
        ASSERT_FALSE(refused) << text;
        EXPECT_NE(refused.error().what.find("800M"), std::string::npos);
    }
}

} // namespace
} // namespace tabard::pipeline
