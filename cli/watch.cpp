#include "cli/watch.h"

#include "cli/interrupt.h"
#include "pipeline/files/descriptor.h"

#include <chrono>
#include <ctime>
#include <thread>

#include <fmt/chrono.h>
#include <fmt/format.h>

namespace tabard::cli {
namespace {

constexpr std::chrono::milliseconds kPause{100}; ///< and how long a save may take: some write in several steps

bool is_there(std::filesystem::path const& file)
{
    std::error_code failed;
    return std::filesystem::exists(file, failed);
}

/// False where the user ended the program. A file that was not there when it was to be read counts once it is.
bool wait_for_change(pipeline::Inputs const& inputs, std::filesystem::path const& cues, bool was_there)
{
    while (inputs.unchanged() && is_there(cues) == was_there) {
        if (interrupt_token().stop_requested())
            return false;
        std::this_thread::sleep_for(kPause);
    }
    std::this_thread::sleep_for(kPause);
    return true;
}

} // namespace

ExitCode watch(std::filesystem::path const& cues, Console const& console, std::function<pipeline::Inputs()> const& once)
{
    if (auto const there = pipeline::open_for_reading(cues); !there)
        return fail(console, there.error());
    while (true) {
        console.note(fmt::format("{:%H:%M:%S}", fmt::localtime(std::time(nullptr))));
        bool const was_there = is_there(cues);
        pipeline::Inputs const inputs = once();
        if (auto const out = console.finish(); !out)
            return fail(console, out.error());
        console.note("Waiting for the next change; Ctrl-C ends.");
        if (!wait_for_change(inputs, cues, was_there))
            return fail(console, Error{ErrorKind::interrupted, "stopped"});
    }
}

} // namespace tabard::cli
