#pragma once
#include "overlay/base/result.h"
#include "pipeline/files/descriptor.h"

#include <filesystem>
#include <optional>
#include <string>

namespace tabard::pipeline {

/// Where desks keep their journals: $XDG_STATE_HOME/tabard/desk, else ~/.local/state/tabard/desk (XDG Base Directory
/// Specification). Fails with not_found where neither variable is set.
Result<std::filesystem::path> desk_states();

/// The folder of one lesson in it, by where the file really is. Not made yet. Fails with not_found or io.
Result<std::filesystem::path> state_folder_of(std::filesystem::path const& lesson, std::filesystem::path const& states);

/// That one desk has a lesson: as long as this lives, no other can.
class DeskClaim {
public:
    /// None where another desk has it. `state` is made. Fails with io.
    static Result<std::optional<DeskClaim>> take(std::filesystem::path const& state);

    /// Leaves the page's address for another start of the desk, and a file that leads a browser there: the address
    /// holds a secret, and what stands in a command line everybody on this machine can read. Fails with io.
    Result<void> announce(std::string const& page) const;

private:
    DeskClaim(std::filesystem::path state, Descriptor lock) : m_state(std::move(state)), m_lock(std::move(lock)) {}
    std::filesystem::path m_state;
    Descriptor m_lock;
};

/// Whether a desk has it: what it has announced, which is waited for a moment. None: no desk has it. Fails with io
/// where one has it and announces nothing.
Result<std::optional<std::string>> page_of_running_desk(std::filesystem::path const& state);

/// The file that leads a browser to the page.
std::filesystem::path door_of(std::filesystem::path const& state);

} // namespace tabard::pipeline
