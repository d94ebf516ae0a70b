#pragma once
#include "overlay/base/result.h"

#include <cstddef>
#include <filesystem>
#include <optional>
#include <string_view>

namespace tabard::cli {

/// Where messages and results go: nothing else writes to the standard streams. What cannot be written never ends the
/// work: a message is lost, a result is missed by finish(). Nothing here throws for it.
class Console {
public:
    /// Looks at the terminal and at NO_COLOR (https://no-color.org).
    Console();

    bool quiet = false; ///< errors only

    /// True where a progress bar may be drawn: stderr is a terminal and nobody asked for quiet.
    bool shows_progress() const { return m_terminal && !quiet; }
    bool colours() const { return m_colours; }
    /// Results go to a terminal: its columns (what it says, else COLUMNS, else 80); none where they go elsewhere.
    std::optional<std::size_t> result_columns() const;
    bool result_colours() const { return m_terminal_out && m_colours_wanted; }

    void error(std::string_view what) const; ///< "tabard: what" on stderr, always; made safe for terminals
    /// "Wrote FILE." and, where there is one, the command that comes next, with FILE after it.
    void wrote(std::filesystem::path const& file, std::string_view next = {}) const;
    /// How to take back what a command has changed in place.
    void offer_undo(std::filesystem::path const& file) const;
    void note(std::string_view what) const; ///< "what" on stderr, unless quiet; made safe for terminals
    /// To stdout: as it is, so that other programs read what was meant; made safe where stdout is a terminal.
    void print(std::string_view result) const;
    /// To stdout as it is: only for texts of our own that hold control sequences.
    void show(std::string_view ours) const;
    /// To stderr as it is: only for texts of our own that hold control sequences.
    void draw(std::string_view ours) const;

    /// Brings results out. Fails with io where any of them could not be written.
    Result<void> finish() const;

private:
    bool m_terminal = false;
    bool m_colours = false;
    bool m_terminal_out = false;
    bool m_colours_wanted = false;
    mutable int m_failure = 0; ///< errno of the first result that could not be written
};

} // namespace tabard::cli
