#pragma once
#include "overlay/base/result.h"

#include <atomic>
#include <filesystem>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// How a process ended, and what it wrote.
struct ChildEnd {
    int exit = 0;   ///< its exit code; 128 and the signal's number where one ended it
    int signal = 0; ///< that signal, else 0
    std::string out;
    std::string err;       ///< its last 64 kB
    bool too_long = false; ///< it wrote more than 64 MB to standard output, of which the rest is gone
};

/// How fast a process is to end.
enum class Ending { none, asked, at_once };

/// What a running process tells and is told.
struct ChildWatch {
    std::function<void(double share, std::string_view label)> progress; ///< of TABARD_PROGRESS
    std::function<void(std::string_view line)> said;                    ///< a line of standard error
    /// asked: SIGINT, and SIGKILL five seconds later; at_once: SIGTERM, and SIGKILL a second later.
    std::atomic<Ending> const* ending;
};

/// Runs a program and waits for its end; no shell. It gets these words alone, no input, no descriptor but its own
/// streams, and is ended with SIGTERM when the calling thread ends. Fails with io where it cannot be begun.
Result<ChildEnd> run_child(std::filesystem::path const& program, std::vector<std::string> const& arguments,
                           std::filesystem::path const& folder, ChildWatch const& watch);

} // namespace tabard::pipeline
