#pragma once
#include "tests/support/run_program.h"

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

namespace tabard::tests {

/// A fenced block of a page of docs/: `sh` holds commands, `text` what they print, others the contents of files.
struct PageBlock {
    std::string language;
    std::vector<std::string> lines;
    std::string text() const; ///< its lines, each with its end
};

/// The blocks of docs/`name`, in order.
std::vector<PageBlock> page_blocks(std::string const& name);
/// The one block, by its place among those of its language.
PageBlock const& page_block(std::vector<PageBlock> const& blocks, std::string const& language, std::size_t number);

/// A reader who types the commands of a page into a shell, in a folder of their own and with a cache of their own.
class PageReader {
public:
    explicit PageReader(std::filesystem::path folder);
    /// Everything that the command wrote, as a terminal shows it, in `out`.
    ProgramRun type(std::string const& command) const;

private:
    std::filesystem::path m_folder;
};

/// The lines of a block that are not in `text`. "..." in a line stands for anything: what is long, or differs from
/// machine to machine.
std::vector<std::string> lines_missing(PageBlock const& block, std::string const& text);

/// Types every command of a page, in its order; each must succeed, and what a `text` block quotes must have been
/// printed by the commands before it. `after` sees each command once it was typed.
void expect_page(std::vector<PageBlock> const& blocks, PageReader const& reader,
                 std::function<void(std::string const& command, ProgramRun const& run)> const& after);

} // namespace tabard::tests
