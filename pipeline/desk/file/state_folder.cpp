#include "pipeline/desk/file/state_folder.h"

#include "pipeline/desk/view/lesson_view.h"
#include "pipeline/files/file_text.h"
#include "pipeline/files/private_file.h"

#include <cerrno>
#include <chrono>
#include <cstdlib>
#include <thread>

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kLongestAddress = 200;
constexpr std::chrono::milliseconds kLook{50};
constexpr int kLooks = 100; // five seconds

fs::path variable(char const* name)
{
    char const* const value = std::getenv(name);
    return value != nullptr ? fs::path(value) : fs::path{};
}

fs::path address_file(fs::path const& state) { return state / "address"; }

} // namespace

Result<fs::path> desk_states()
{
    if (fs::path const state = variable("XDG_STATE_HOME"); state.is_absolute())
        return state / "tabard" / "desk";
    if (fs::path const home = variable("HOME"); !home.empty())
        return home / ".local" / "state" / "tabard" / "desk";
    return Error{ErrorKind::not_found, "there is no place to keep the desk's journal; set HOME or XDG_STATE_HOME"};
}

Result<fs::path> state_folder_of(fs::path const& lesson, fs::path const& states)
{
    std::error_code failed;
    fs::path const real = fs::canonical(lesson, failed);
    if (failed)
        return io_error("read", lesson, failed.value());
    return states / text_digest(real.native());
}

Result<std::optional<DeskClaim>> DeskClaim::take(fs::path const& state)
{
    TRY_VOID(make_private_folder(state.parent_path()));
    TRY_VOID(make_private_folder(state));
    fs::path const path = state / "lock";
    Descriptor lock(::open(path.c_str(), O_RDWR | O_CREAT | O_NOFOLLOW | O_CLOEXEC, 0600));
    if (!lock)
        return io_error("write", path, errno);
    if (::flock(lock.get(), LOCK_EX | LOCK_NB) != 0)
        return errno == EWOULDBLOCK ? Result<std::optional<DeskClaim>>(std::optional<DeskClaim>{})
                                    : io_error("lock", path, errno);
    std::error_code ignored;
    fs::remove(address_file(state), ignored); // of a desk that was killed
    return std::optional<DeskClaim>(DeskClaim{state, std::move(lock)});
}

Result<void> DeskClaim::announce(std::string const& page) const
{
    TRY_VOID(write_private_file(fmt::format("<!doctype html><meta charset=\"utf-8\"><meta name=\"referrer\" "
                                            "content=\"no-referrer\"><title>Tabard</title>"
                                            "<meta http-equiv=\"refresh\" content=\"0; url={0}\"><a href=\"{0}\">The "
                                            "desk</a>\n",
                                            page),
                                door_of(m_state)));
    return write_private_file(page, address_file(m_state));
}

Result<std::optional<std::string>> page_of_running_desk(fs::path const& state)
{
    for (int i = 0; i < kLooks; ++i) {
        TRY_ASSIGN(auto const claim, DeskClaim::take(state));
        if (claim)
            return std::optional<std::string>{};
        if (auto page = read_file_text(address_file(state), kLongestAddress))
            return std::optional{*std::move(page)};
        std::this_thread::sleep_for(kLook);
    }
    return Error{ErrorKind::io, "another desk has this lesson and does not answer; end it first"};
}

fs::path door_of(fs::path const& state) { return state / "open.html"; }

} // namespace tabard::pipeline
