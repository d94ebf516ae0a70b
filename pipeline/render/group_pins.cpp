#include "pipeline/render/group_pins.h"

#include "pipeline/files/file_text.h"
#include "pipeline/files/output_folder.h"
#include "pipeline/files/temporary.h"
#include "pipeline/media/digest.h"

#include <sstream>

#include <fcntl.h>
#include <fmt/chrono.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <sys/utsname.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

constexpr char const* kExtension = ".pin";
constexpr std::size_t kMostBytes = 50'000'000; // more than a million keys

fs::path path_of(fs::path const& folder, std::vector<std::string> const& keys)
{
    return folder / (plan_name(keys) + kExtension);
}

// By the clock of whoever holds the file, and where another user owns it.
bool renew(fs::path const& path) { return ::utimensat(AT_FDCWD, path.c_str(), nullptr, 0) == 0; }

bool is_fresh(fs::path const& path)
{
    std::error_code gone;
    auto const renewed = fs::last_write_time(path, gone);
    return !gone && fs::file_time_type::clock::now() - renewed < kPinLasts;
}

std::string text_of(std::vector<std::string> const& keys)
{
    utsname machine{};
    ::uname(&machine);
    std::string text = fmt::format("# Groups that a render on several machines needs, pinned by {} at {:%FT%TZ}\n",
                                   machine.nodename, fmt::gmtime(std::time(nullptr)));
    for (std::string const& key : keys)
        text += key + "\n";
    return text;
}

std::vector<fs::path> pins_in(fs::path const& folder)
{
    std::vector<fs::path> pins;
    std::error_code failure;
    for (fs::directory_iterator at(folder, failure), end; !failure && at != end; at.increment(failure))
        if (at->path().extension() == kExtension)
            pins.push_back(at->path());
    return pins;
}

} // namespace

std::string plan_name(std::vector<std::string> const& keys)
{
    Digest digest;
    for (std::string const& key : keys)
        digest.add(key);
    return digest.hex();
}

bool pin_plan(fs::path const& folder, std::vector<std::string> const& keys)
{
    fs::path const path = path_of(folder, keys);
    if (renew(path))
        return true;
    if (!make_folder(folder))
        return false;
    auto pin = Temporary::file(path, Temporary::Readers::as_usual);
    if (!pin || !write_all(pin->descriptor(), text_of(keys), path))
        return false;
    return pin->appear_as(path) || renew(path); // another machine of the plan may have been faster
}

void unpin_plan(fs::path const& folder, std::vector<std::string> const& keys)
{
    std::error_code ignored;
    fs::remove(path_of(folder, keys), ignored);
}

std::set<std::string> pinned_keys(fs::path const& folder)
{
    std::set<std::string> keys;
    for (fs::path const& pin : pins_in(folder)) {
        std::error_code ignored;
        if (!is_fresh(pin)) {
            fs::remove(pin, ignored);
            continue;
        }
        auto const text = read_file_text(pin, kMostBytes);
        std::istringstream lines(text ? *text : std::string());
        for (std::string line; std::getline(lines, line);)
            if (!line.starts_with('#'))
                keys.insert(line);
    }
    return keys;
}

void remove_pins(fs::path const& folder)
{
    std::error_code ignored;
    for (fs::path const& pin : pins_in(folder))
        fs::remove(pin, ignored);
}

} // namespace tabard::pipeline
