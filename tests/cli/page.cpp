#include "tests/cli/page.h"

#include "tests/support/paths.h"

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <sstream>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::tests {

namespace fs = std::filesystem;

namespace {

constexpr std::string_view kFence = "```";

/// Whether `text` is `pattern`, in which "..." stands for anything.
bool matches(std::string_view text, std::string_view pattern)
{
    constexpr std::string_view kAnything = "...";
    auto const gap = pattern.find(kAnything);
    if (gap == std::string_view::npos)
        return text == pattern;
    if (text.substr(0, gap) != pattern.substr(0, gap))
        return false;
    auto const rest = pattern.substr(gap + kAnything.size());
    for (std::size_t from = gap; from <= text.size(); ++from)
        if (matches(text.substr(from), rest))
            return true;
    return false;
}

} // namespace

std::string PageBlock::text() const { return fmt::format("{}\n", fmt::join(lines, "\n")); }

std::vector<PageBlock> page_blocks(std::string const& name)
{
    std::istringstream page(read_text(source_folder() / "docs" / name));
    std::vector<PageBlock> blocks;
    bool inside = false;
    for (std::string line; std::getline(page, line);) {
        if (line.starts_with(kFence)) {
            inside = !inside;
            if (inside)
                blocks.push_back({line.substr(kFence.size()), {}});
        } else if (inside) {
            blocks.back().lines.push_back(line);
        }
    }
    return blocks;
}

PageBlock const& page_block(std::vector<PageBlock> const& blocks, std::string const& language, std::size_t number)
{
    for (PageBlock const& block : blocks)
        if (block.language == language && number-- == 0)
            return block;
    throw std::runtime_error("the page has fewer blocks of " + language);
}

PageReader::PageReader(fs::path folder) : m_folder(std::move(folder))
{
    fs::create_directories(m_folder / "bin");
    fs::create_symlink(TABARD_PROGRAM, m_folder / "bin/tabard");
}

ProgramRun PageReader::type(std::string const& command) const
{
    return run_program({"env", "-C", m_folder, fmt::format("PATH={}/bin:{}", m_folder.string(), std::getenv("PATH")),
                        fmt::format("TABARD_CACHE={}/cache", m_folder.string()), "sh", "-c",
                        fmt::format("{{ {}\n}} 2>&1", command)});
}

std::vector<std::string> lines_missing(PageBlock const& block, std::string const& text)
{
    std::vector<std::string> missing;
    for (std::string const& line : block.lines) {
        std::istringstream lines(text);
        bool found = false;
        for (std::string printed; !found && std::getline(lines, printed);)
            found = matches(printed, line);
        if (!found)
            missing.push_back(line);
    }
    return missing;
}

void expect_page(std::vector<PageBlock> const& blocks, PageReader const& reader,
                 std::function<void(std::string const& command, ProgramRun const& run)> const& after)
{
    std::string printed;
    for (PageBlock const& block : blocks) {
        if (block.language == "text") {
            EXPECT_THAT(lines_missing(block, printed), testing::IsEmpty()) << printed;
        }
        if (block.language != "sh")
            continue;
        printed.clear();
        for (std::string const& command : block.lines) {
            ProgramRun const run = reader.type(command);
            EXPECT_EQ(run.exit, 0) << command << "\n" << run.out;
            printed += run.out;
            after(command, run);
        }
    }
}

} // namespace tabard::tests
