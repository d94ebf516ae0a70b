#pragma once
#include "tests/support/performance/conditions.h"

#include <filesystem>
#include <vector>

namespace tabard::tests {

/// A take and what the peer heard in it.
struct BenchTake {
    Take take;
    std::vector<double> aubio; ///< beats, seconds
};

/// Builds takes, and keeps their sound in a folder between runs. What was kept of another performance or kind of sound
/// is not taken: the name of a file says what it was made of.
class TakeCache {
public:
    /// Without a folder nothing is kept.
    explicit TakeCache(std::filesystem::path folder) : m_folder(std::move(folder)) {}
    BenchTake take(Condition const& condition, NoteBank& bank, std::uint32_t seed) const;

private:
    std::filesystem::path m_folder;
};

} // namespace tabard::tests
