#pragma once
#include <filesystem>
#include <string>
#include <vector>

namespace tabard::tests {

/// What a program did: its exit code (128 + signal where one ended it) and all that it wrote.
struct ProgramRun {
    int exit = -1;
    std::string out;
    std::string err;
};

/// Runs `words[0]` (looked up in PATH) with the rest as arguments, standard input empty, and waits for its end.
ProgramRun run_program(std::vector<std::string> const& words);

/// A fresh folder under the system's temporary folder, removed with all it holds when this goes.
class TemporaryFolder {
public:
    TemporaryFolder();
    ~TemporaryFolder();
    TemporaryFolder(TemporaryFolder const&) = delete;
    TemporaryFolder& operator=(TemporaryFolder const&) = delete;
    std::filesystem::path const& path() const { return m_path; }
    std::filesystem::path operator/(std::string const& name) const { return m_path / name; }

private:
    std::filesystem::path m_path;
};

std::string read_text(std::filesystem::path const& path);
void write_text(std::filesystem::path const& path, std::string const& text);

} // namespace tabard::tests
