#pragma once
#include "tests/support/paths.h"

#include <cstdlib>
#include <filesystem>
#include <string_view>

#include <gtest/gtest.h>

namespace tabard::tests {

/// A file that tests/outside/setup fetched or wrote.
inline std::filesystem::path outside_file(std::string_view name)
{
    return source_folder() / "build" / "outside" / name;
}

} // namespace tabard::tests

/// At the head of a test that reads `file`: skips it where the file was not fetched, fails it there in CI.
#define NEEDS_OUTSIDE(file)                                                                                            \
    if (!std::filesystem::exists(file)) {                                                                              \
        if (std::getenv("CI") != nullptr)                                                                              \
            FAIL() << file << " is missing: tests/outside/setup has not run";                                          \
        GTEST_SKIP() << "SKIPPED: " << file << " is missing; run tests/outside/setup (needs npm)";                     \
    }
