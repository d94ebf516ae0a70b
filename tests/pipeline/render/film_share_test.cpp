#include "pipeline/render/film_share.h"

#include <algorithm>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace tabard::pipeline {
namespace {

FilmPlan plan_of(std::vector<std::size_t> const& pictures, std::vector<bool> const& touched)
{
    FilmPlan plan;
    plan.source.emplace();
    for (std::size_t i = 0; i < pictures.size(); ++i) {
        plan.source->groups.push_back({0, pictures[i], 1000, {}});
        plan.touched.push_back(touched[i % std::max<std::size_t>(1, touched.size())]);
        plan.touched_groups += plan.touched.back();
    }
    return plan;
}

RC_GTEST_PROP(Shares, EachTouchedGroupIsInOneAndNoneHasMorePicturesThanAnotherByMoreThanAGroup,
              (std::vector<std::uint8_t> const& sizes, bool every_group))
{
    int const of = *rc::gen::inRange(1, 12);
    std::vector<std::size_t> pictures;
    for (std::uint8_t const size : sizes)
        pictures.push_back(1 + size);
    FilmPlan const plan = plan_of(pictures, every_group ? std::vector{true} : std::vector{true, false, true});
    std::vector<int> const shares = shares_of(plan, of);
    RC_ASSERT(shares == shares_of(plan, of));
    RC_ASSERT(shares.size() == pictures.size());
    std::vector<std::size_t> sums(static_cast<std::size_t>(of));
    std::size_t largest = 0;
    for (std::size_t i = 0; i < shares.size(); ++i) {
        RC_ASSERT((shares[i] != 0) == plan.touched[i]);
        if (!plan.touched[i])
            continue;
        RC_ASSERT((shares[i] >= 1 && shares[i] <= of));
        sums[static_cast<std::size_t>(shares[i] - 1)] += pictures[i];
        largest = std::max(largest, pictures[i]);
    }
    auto const [least, most] = std::minmax_element(sums.begin(), sums.end());
    RC_ASSERT(*most - *least <= largest);
}

TEST(Shares, AreWrittenAsOneOfSoMany)
{
    auto const share = parse_share("2/4");
    ASSERT_TRUE(share);
    EXPECT_EQ(share->number, 2);
    EXPECT_EQ(share->of, 4);
    for (char const* const wrong : {"", "/", "2", "2/", "/4", "0/4", "5/4", "-1/4", "1/-4", "1/4 ", " 1/4", "1/4/2",
                                    "+1/4", "1.0/4", "99999999999/99999999999"})
        EXPECT_FALSE(parse_share(wrong)) << wrong;
}

} // namespace
} // namespace tabard::pipeline
