#include "pipeline/desk/runs/output_name.h"

#include "overlay/base/small_letters.h"
#include "overlay/base/utf8.h"

#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

// A file system takes 255 bytes; the name under which a file is written until it is whole is longer than its own.
constexpr std::size_t kLongestFileName = 200;

Error wrong(std::string what) { return {ErrorKind::invalid_input, std::move(what)}; }

/// Control characters and all that on_one_line() does not leave as it is.
bool is_one_line(std::string_view name) { return on_one_line(name) == name; }

} // namespace

Result<void> check_plain_name(std::string_view name)
{
    if (name.empty())
        return wrong("a name is missing; give the file a name");
    if (name.size() > kLongestFileName)
        return wrong(fmt::format("the name is too long; use at most {} letters", kLongestFileName));
    if (!is_one_line(name) || name.find('/') != name.npos || name.find('\\') != name.npos)
        return wrong("a file's name has no slash and stands on one line; choose another name");
    if (name.front() == '.' || name.front() == '-')
        return wrong("a file's name begins with no dot and no dash; choose another name");
    if (name.front() == ' ' || name.back() == ' ')
        return wrong("a file's name begins and ends with no blank; choose another name");
    return {};
}

Result<void> check_plain_name(std::string_view name, std::span<std::string_view const> endings)
{
    TRY_VOID(check_plain_name(name));
    std::string const small = small_letters(std::string{name});
    bool const fits = std::ranges::any_of(
        endings, [&](std::string_view ending) { return small.size() > ending.size() && small.ends_with(ending); });
    return fits ? Result<void>{}
                : wrong(fmt::format("'{}' is no name for it; it must end in {}", name, fmt::join(endings, ", ")));
}

Result<AtOutput> look_at_output(fs::path const& output, Inputs const& inputs)
{
    std::string const name = output.filename().string();
    if (inputs.hold(output))
        return wrong(fmt::format("'{}' is read for this; choose another name", name));
    std::error_code failed;
    switch (fs::symlink_status(output, failed).type()) {
    case fs::file_type::not_found:
        return AtOutput::nothing;
    case fs::file_type::regular:
        return AtOutput::file;
    case fs::file_type::directory:
        return AtOutput::folder;
    case fs::file_type::symlink:
        return wrong(fmt::format("'{}' is a link to somewhere else; choose another name", name));
    default: // of std::filesystem, which may have more kinds
        return wrong(fmt::format("'{}' is no file that can be written; choose another name", name));
    }
}

Result<fs::path> file_in(fs::path const& folder, std::string_view name)
{
    TRY_VOID(check_plain_name(name));
    fs::path const file = folder / name;
    std::error_code failed;
    if (!fs::is_regular_file(file, failed))
        return Error{ErrorKind::not_found, fmt::format("the folder has no file '{}'", name)};
    return file;
}

} // namespace tabard::pipeline
