#include "pipeline/machine/worker_pool.h"

#include <atomic>
#include <chrono>
#include <future>
#include <latch>
#include <stdexcept>
#include <thread>
#include <vector>

#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

TEST(WorkerPool, DoesAsManyTasksAtOnceAsItHasThreads)
{
    WorkerPool pool(4);
    EXPECT_EQ(pool.size(), 4);
    std::latch all_there(4); // would never open with fewer
    std::vector<std::future<int>> coming;
    for (int i = 0; i < 4; ++i)
        coming.push_back(pool.run([&all_there, i] {
            all_there.arrive_and_wait();
            return i;
        }));
    for (int i = 0; i < 4; ++i)
        EXPECT_EQ(coming[static_cast<std::size_t>(i)].get(), i);
}

TEST(WorkerPool, HandsOnWhatATaskThrows)
{
    WorkerPool pool(1);
    auto coming = pool.run([]() -> int { throw std::runtime_error("no"); });
    EXPECT_THROW(coming.get(), std::runtime_error);
    EXPECT_EQ(pool.run([] { return 7; }).get(), 7); // and the thread lives on
}

TEST(WorkerPool, WithoutAThreadDoesTheTaskAtOnce)
{
    WorkerPool pool(0);
    bool done = false;
    auto const coming = pool.run([&] { done = true; });
    EXPECT_TRUE(done);
}

TEST(WorkerPool, EndsWhatItBeganAndDropsTheRest)
{
    std::promise<void> go;
    std::latch begun(1);
    std::atomic<int> ended = 0;
    std::future<void> first, second;
    {
        WorkerPool pool(1);
        first = pool.run([&] {
            begun.count_down();
            go.get_future().wait();
            ++ended;
        });
        second = pool.run([&] { ++ended; });
        begun.wait();
        // The pool is asked to end while its thread is busy.
        std::jthread const later([&] {
            std::this_thread::sleep_for(std::chrono::milliseconds(20));
            go.set_value();
        });
    }
    EXPECT_NO_THROW(first.get());
    EXPECT_GE(ended, 1);
    if (ended == 1) {
        EXPECT_THROW(second.get(), std::future_error);
    }
}

} // namespace
} // namespace tabard::pipeline
