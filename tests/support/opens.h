#pragma once
#include <filesystem>

namespace tabard::tests {

/// Counts, from its making on, how often any process opens a file (inotify(7)). Openings with nothing read or closed
/// between them count as one.
class OpenCount {
public:
    explicit OpenCount(std::filesystem::path const& file);
    ~OpenCount();
    OpenCount(OpenCount const&) = delete;
    OpenCount& operator=(OpenCount const&) = delete;

    int so_far(); ///< since the making

private:
    int m_notify = -1;
    int m_opens = 0;
};

} // namespace tabard::tests
