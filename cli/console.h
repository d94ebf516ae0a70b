#pragma once
#include "overlay/base/result.h"

#include <string_view>

namespace tabard::cli {

/// Where messages go. Results go to stdout and are not the console's business, but for `print`.
class Console {
public:
    /// Looks at the terminal and at NO_COLOR (https://no-color.org).
    Console();

    bool quiet = false; ///< errors only

    /// True where a progress bar may be drawn: stderr is a terminal and nobody asked for quiet.
    bool shows_progress() const { return m_terminal && !quiet; }
    bool colours() const { return m_colours; }

    void error(std::string_view what) const;   ///< "tabard: what" on stderr, always
    void note(std::string_view what) const;    ///< "what" on stderr, unless quiet
    void print(std::string_view result) const; ///< to stdout as it is

private:
    bool m_terminal = false;
    bool m_colours = false;
};

} // namespace tabard::cli
