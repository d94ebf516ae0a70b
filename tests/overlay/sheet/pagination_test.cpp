#include "overlay/sheet/pagination.h"

#include <map>
#include <set>
#include <utility>
#include <vector>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace tabard::overlay::sheet {
namespace {

std::vector<Block> any_blocks()
{
    std::vector<Block> blocks;
    int group = 0;
    for (int part = 0, parts = *rc::gen::inRange(0, 12); part < parts; ++part) {
        ++group;
        int const rows = *rc::gen::inRange(1, 14);
        for (int row = 0; row < rows; ++row) {
            Block block;
            block.height = *rc::gen::inRange(5, 60);
            block.space_before = *rc::gen::inRange(0, 20);
            block.group = group;
            block.with_next = row == 0 && rows > 1;
            block.continued = row == 0 ? "" : "part";
            blocks.push_back(std::move(block));
        }
    }
    return blocks;
}

constexpr double kHeight = 300;
constexpr double kContinued = 15;

RC_GTEST_PROP(Pagination, PutsEveryBlockOnAPageOnceAndInOrder, ())
{
    auto const blocks = any_blocks();
    std::size_t next = 0;
    for (auto const& page : paginate(blocks, kHeight, kContinued))
        for (auto const& placed : page)
            RC_ASSERT(placed.block == &blocks.at(next++));
    RC_ASSERT(next == blocks.size());
}

RC_GTEST_PROP(Pagination, LetsNoBlockHangOverThePageOrAnother, ())
{
    auto const blocks = any_blocks();
    for (auto const& page : paginate(blocks, kHeight, kContinued)) {
        double free_from = 0;
        for (auto const& placed : page) {
            RC_ASSERT(placed.y >= free_from);
            free_from = placed.y + placed.block->height;
        }
        RC_ASSERT(free_from <= kHeight);
    }
}

RC_GTEST_PROP(Pagination, TearsNoPartThatAPageHolds, ())
{
    auto const blocks = any_blocks();
    auto const pages = paginate(blocks, kHeight, kContinued);
    std::map<int, std::set<std::size_t>> on;
    std::map<int, double> height;
    for (std::size_t page = 0; page < pages.size(); ++page)
        for (auto const& placed : pages[page]) {
            on[placed.block->group].insert(page);
            height[placed.block->group] += placed.block->space_before + placed.block->height;
        }
    for (auto const& [group, where] : on)
        if (height[group] <= kHeight)
            RC_ASSERT(where.size() == 1u);
}

std::vector<Block> parts_of_two_lines(int parts)
{
    std::vector<Block> blocks;
    for (int part = 1; part <= parts; ++part)
        for (double const height : {10.0, 20.0}) {
            Block block;
            block.height = height;
            block.group = part;
            block.with_next = height < 15;
            blocks.push_back(std::move(block));
        }
    return blocks;
}

// Parts of 30: ten fill a page of 300. The eleventh would stand alone; with five less, each page has its half.
TEST(Pagination, LeavesNoLonePartToTheLastPage)
{
    for (auto const& [parts, first_page] : {std::pair{10, 10}, {11, 6}, {13, 7}, {14, 10}, {20, 10}}) {
        auto const blocks = parts_of_two_lines(parts);
        auto const pages = paginate(blocks, kHeight, kContinued);
        EXPECT_EQ(pages.size(), parts > 10 ? 2U : 1U);
        EXPECT_EQ(pages.front().size(), 2U * static_cast<std::size_t>(first_page)) << parts;
    }
}

RC_GTEST_PROP(Pagination, LeavesNoHeadingAloneAtTheFootOfAPage, ())
{
    auto const blocks = any_blocks();
    for (auto const& page : paginate(blocks, kHeight, kContinued))
        if (!page.empty())
            RC_ASSERT(!page.back().block->with_next);
}

} // namespace
} // namespace tabard::overlay::sheet
