#include "pipeline/desk/file/kept_versions.h"

#include "pipeline/cues/reader.h"
#include "pipeline/desk/view/lesson_view.h"
#include "pipeline/files/file_text.h"
#include "pipeline/files/private_file.h"

#include <algorithm>
#include <charconv>
#include <optional>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kMost = 10;
constexpr std::size_t kIdLength = 8;
constexpr std::size_t kMostBytes = kMostCueFileBytes + 1000;

bool is_id(std::string_view name)
{
    return name.size() == kIdLength && name.find_first_not_of("0123456789") == name.npos;
}

struct Read {
    KeptVersion version;
    std::string text;
};

/// A file is "WHEN WHAT\n" and the text.
std::optional<Read> read(fs::path const& file)
{
    auto bytes = read_file_text(file, kMostBytes);
    std::size_t const line = bytes ? bytes->find('\n') : std::string::npos;
    if (line == std::string::npos)
        return std::nullopt;
    Read found;
    auto const [end, failed] = std::from_chars(bytes->data(), bytes->data() + line, found.version.when);
    if (failed != std::errc{} || *end != ' ')
        return std::nullopt;
    found.version.id = file.filename().string();
    found.version.what = bytes->substr(0, line).substr(static_cast<std::size_t>(end + 1 - bytes->data()));
    found.text = bytes->substr(line + 1);
    found.version.digest = text_digest(found.text);
    return found;
}

std::vector<std::string> ids_in(fs::path const& folder)
{
    std::vector<std::string> ids;
    std::error_code failed;
    for (fs::directory_iterator at(folder, failed), end; !failed && at != end; at.increment(failed))
        if (std::string name = at->path().filename().string(); is_id(name))
            ids.push_back(std::move(name));
    std::ranges::sort(ids, std::greater{});
    return ids;
}

} // namespace

std::vector<KeptVersion> KeptVersions::list() const
{
    std::vector<KeptVersion> versions;
    for (std::string const& id : ids_in(m_folder))
        if (auto found = read(m_folder / id))
            versions.push_back(std::move(found->version));
    return versions;
}

Result<std::string> KeptVersions::text(std::string_view id) const
{
    if (is_id(id))
        if (auto found = read(m_folder / id))
            return std::move(found->text);
    return Error{ErrorKind::not_found, "this version is not kept any more; choose another"};
}

Result<void> KeptVersions::keep(std::string_view text, std::string_view what, std::int64_t now) const
{
    TRY_VOID(make_private_folder(m_folder));
    auto const ids = ids_in(m_folder);
    if (auto const newest = ids.empty() ? std::nullopt : read(m_folder / ids.front()); newest && newest->text == text)
        return {};
    int last = 0;
    if (!ids.empty())
        std::from_chars(ids.front().data(), ids.front().data() + ids.front().size(), last);
    std::string line(what);
    std::ranges::replace(line, '\n', ' ');
    TRY_VOID(write_private_file(fmt::format("{} {}\n{}", now, line, text), m_folder / fmt::format("{:08}", last + 1)));
    std::error_code ignored;
    for (std::size_t i = kMost - 1; i < ids.size(); ++i)
        fs::remove(m_folder / ids[i], ignored);
    return {};
}

} // namespace tabard::pipeline
