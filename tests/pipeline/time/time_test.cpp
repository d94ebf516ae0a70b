#include "pipeline/time/time.h"

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

// Frame N of 30000/1001 is 3003 N on a 90 kHz clock, exactly: 90000 * 1001 / 30000 = 3003.
TEST(Time, HoldsEveryFrameOfAnNtscHourExactly)
{
    for (std::int64_t frame = 0; frame < 107'892; ++frame) {
        Time const start = from_frame(frame, {30000, 1001});
        ASSERT_EQ(start, from_ticks(3003 * frame, 1, 90000));
        ASSERT_EQ(frame_at(start, {30000, 1001}), frame);
        ASSERT_EQ(frame_at(start - Time{1}, {30000, 1001}), frame - 1);
    }
}

} // namespace
} // namespace tabard::pipeline
