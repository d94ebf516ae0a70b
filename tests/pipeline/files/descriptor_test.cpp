#include "pipeline/files/descriptor.h"

#include <utility>

#include <fcntl.h>
#include <gtest/gtest.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

bool is_open(int descriptor) { return ::fcntl(descriptor, F_GETFD) != -1; }

// The lowest number that is free is given (POSIX, open()): 0 where a program was started without standard input.
TEST(Descriptor, IsClosedWhateverItsNumber)
{
    int const input = ::dup(STDIN_FILENO);
    ::close(STDIN_FILENO);
    for (int i = 0; i < 2; ++i) {
        Descriptor const file(::open("/dev/null", O_RDONLY));
        EXPECT_TRUE(file);
        EXPECT_EQ(file.get(), STDIN_FILENO);
    }
    EXPECT_FALSE(is_open(STDIN_FILENO));
    if (input >= 0) {
        ::dup2(input, STDIN_FILENO);
        ::close(input);
    }
}

TEST(Descriptor, IsOpenAsLongAsSomebodyHasIt)
{
    Descriptor kept;
    EXPECT_FALSE(kept);
    int number = -1;
    {
        Descriptor file(::open("/dev/null", O_RDONLY));
        number = file.get();
        kept = std::move(file);
    }
    EXPECT_TRUE(is_open(number));
    kept = Descriptor();
    EXPECT_FALSE(is_open(number));
}

// Writing to /dev/full fails with ENOSPC (full(4)).
TEST(Descriptor, SaysThatTheDiskIsFull)
{
    Descriptor const full(::open("/dev/full", O_WRONLY));
    auto const written = write_all(full, "film", "film.mp4");
    ASSERT_FALSE(written);
    EXPECT_EQ(written.error().kind, ErrorKind::io);
    EXPECT_EQ(written.error().what, "cannot write 'film.mp4': No space left on device");
}

} // namespace
} // namespace tabard::pipeline
