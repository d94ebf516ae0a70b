#pragma once
#include "cli/console.h"
#include "overlay/base/result.h"

#include <chrono>
#include <string>

namespace tabard::cli {

/// A bar with the time left on a terminal; silent elsewhere. Draws at most ten times a second, and when all is
/// done; wipes itself away when it is destroyed. Programs that ask for it are told too
/// (pipeline/files/progress_line.h). The console must outlive it.
class ProgressBar {
public:
    ProgressBar(Console const& console, std::string label);
    ~ProgressBar();
    ProgressBar(ProgressBar const&) = delete;
    ProgressBar& operator=(ProgressBar const&) = delete;

    void show(double share_done); ///< 0 to 1

    /// What the work gave; where it went well, all is done.
    template <class T>
    Result<T> ended(Result<T> result)
    {
        if (result)
            show(1);
        return result;
    }

private:
    using Clock = std::chrono::steady_clock;
    Console const& m_console;
    bool m_shown;
    std::string m_label;
    Clock::time_point m_begin = Clock::now();
    Clock::time_point m_drawn{};
    double m_share = 0; ///< what was drawn last
};

} // namespace tabard::cli
