#include "pipeline/render/group_cache.h"

#include "pipeline/files/output_folder.h"
#include "pipeline/files/temporary.h"
#include "pipeline/media/digest.h"
#include "pipeline/render/group_pins.h"
#include "pipeline/render/render_speed.h"

#include <algorithm>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <set>

#include <fmt/format.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

constexpr char const* kExtension = ".group";
constexpr char const* kUnfinished = ".part";
constexpr std::size_t kDigestLength = 32;
// Several times what is the most for a group of the footage.
constexpr std::size_t kMostEntryBytes = 400'000'000;

std::string digest_of(std::string const& key, std::span<std::byte const> value)
{
    return Digest().add(key).add(value).hex();
}

enum class Reading { sound, absent, damaged };

Reading read_entry(fs::path const& path, std::string const& key, SharedBytes& value)
{
    std::error_code absent;
    if (!fs::is_regular_file(path, absent))
        return Reading::absent;
    std::ifstream file(path, std::ios::binary | std::ios::ate);
    if (!file)
        return Reading::absent;
    auto const size = static_cast<std::size_t>(std::max<std::streamoff>(file.tellg(), 0));
    if (size < kDigestLength || size > kMostEntryBytes)
        return Reading::damaged;
    std::string digest(kDigestLength, '\0');
    std::shared_ptr<std::byte[]> const memory(new std::byte[size - kDigestLength]); // no time is spent on zeros
    file.seekg(0);
    file.read(digest.data(), kDigestLength);
    file.read(reinterpret_cast<char*>(memory.get()), static_cast<std::streamsize>(size - kDigestLength));
    if (!file)
        return Reading::absent; // a disk that fails to read says nothing of the entry
    value = {memory, {memory.get(), size - kDigestLength}};
    return digest == digest_of(key, value) ? Reading::sound : Reading::damaged;
}

struct Entry {
    fs::path path;
    std::int64_t bytes;
    fs::file_time_type used;
};

// Files may go while they are counted: another process makes room too.
std::vector<Entry> entries_in(fs::path const& folder, char const* extension)
{
    std::vector<Entry> entries;
    std::error_code failure;
    for (fs::directory_iterator at(folder, failure), end; !failure && at != end; at.increment(failure)) {
        std::error_code gone;
        auto const bytes = at->path().extension() == extension ? fs::file_size(at->path(), gone) : 0;
        auto const used = fs::last_write_time(at->path(), gone);
        if (at->path().extension() == extension && !gone)
            entries.push_back({at->path(), static_cast<std::int64_t>(bytes), used});
    }
    return entries;
}

} // namespace

GroupCache::GroupCache(fs::path folder, std::int64_t limit) : m_folder(std::move(folder)), m_limit(limit) {}

std::optional<fs::path> GroupCache::default_folder()
{
    auto const variable = [](char const* name) -> std::optional<fs::path> {
        char const* const value = std::getenv(name);
        return value && *value ? std::optional<fs::path>(value) : std::nullopt;
    };
    if (auto const own = variable("TABARD_CACHE"))
        return own;
    if (auto const cache = variable("XDG_CACHE_HOME"); cache && cache->is_absolute())
        return *cache / "tabard";
    if (auto const home = variable("HOME"))
        return *home / ".cache" / "tabard";
    return std::nullopt;
}

fs::path GroupCache::path_of(std::string const& key) const { return m_folder / (key + kExtension); }

std::optional<SharedBytes> GroupCache::find(std::string const& key) const
{
    fs::path const path = path_of(key);
    SharedBytes value;
    std::error_code ignored;
    switch (read_entry(path, key, value)) {
    case Reading::absent:
        return std::nullopt;
    case Reading::damaged:
        fs::remove(path, ignored);
        return std::nullopt;
    case Reading::sound:
        break;
    }
    fs::last_write_time(path, fs::file_time_type::clock::now(), ignored); // used now
    return value;
}

bool GroupCache::has(std::string const& key) const
{
    std::error_code absent;
    return fs::is_regular_file(path_of(key), absent);
}

// It is on the disk before it has its name: another machine reads all of it or finds nothing.
Result<void> GroupCache::write_entry(std::string const& key, std::span<std::byte const> value) const
{
    TRY_VOID(make_folder(m_folder));
    fs::path const path = path_of(key);
    TRY_ASSIGN(auto entry, Temporary::file(m_folder / (key + kUnfinished), Temporary::Readers::as_usual));
    TRY_VOID(write_all(entry.descriptor(), digest_of(key, value), path));
    TRY_VOID(write_all(entry.descriptor(), {reinterpret_cast<char const*>(value.data()), value.size()}, path));
    if (::fdatasync(entry.descriptor().get()) != 0)
        return io_error("write", path, errno);
    auto appeared = entry.appear_as(path);
    if (!appeared && !find(key)) // removes what has the name where that is damaged
        appeared = entry.appear_as(path);
    return appeared || find(key) ? Result<void>{} : appeared;
}

Result<void> GroupCache::put(std::string const& key, std::span<std::byte const> value)
{
    TRY_VOID(write_entry(key, value));
    m_stored_since_sweep += static_cast<std::int64_t>(value.size());
    make_room();
    return {};
}

bool GroupCache::store(std::string const& key, std::span<std::byte const> value) { return put(key, value).has_value(); }

// Counting every entry is dear, so it is done once at first and then whenever a sixteenth of the limit has come in.
void GroupCache::make_room()
{
    if (m_swept && m_stored_since_sweep < m_limit / 16)
        return;
    m_swept = true;
    m_stored_since_sweep = 0;
    remove_all_left_behind(m_folder);
    std::int64_t const most = m_limit - m_limit / 16;
    if (std::int64_t const used = usage().bytes; used > most)
        give_up(used - most);
}

std::int64_t GroupCache::give_up(std::int64_t bytes)
{
    std::vector<Entry> entries = entries_in(m_folder, kExtension);
    std::set<std::string> const pinned = pinned_keys(m_folder);
    std::erase_if(entries, [&](Entry const& entry) { return pinned.contains(entry.path.stem().string()); });
    std::sort(entries.begin(), entries.end(), [](Entry const& a, Entry const& b) { return a.used < b.used; });
    std::int64_t given = 0;
    for (auto entry = entries.begin(); entry != entries.end() && given < bytes; ++entry) {
        std::error_code failure;
        if (fs::remove(entry->path, failure))
            given += entry->bytes;
    }
    return given;
}

GroupCache::Usage GroupCache::usage() const
{
    Usage usage;
    for (char const* extension : {kExtension, kSpeedExtension}) {
        for (Entry const& entry : entries_in(m_folder, extension)) {
            ++usage.entries;
            usage.bytes += entry.bytes;
        }
    }
    return usage;
}

Result<GroupCache::Usage> GroupCache::clear()
{
    Usage removed;
    for (char const* extension : {kExtension, kUnfinished, kSpeedExtension}) {
        for (Entry const& entry : entries_in(m_folder, extension)) {
            std::error_code failure;
            fs::remove(entry.path, failure);
            if (failure)
                return Error{ErrorKind::io,
                             fmt::format("cannot remove '{}': {}", entry.path.string(), failure.message())};
            ++removed.entries;
            removed.bytes += entry.bytes;
        }
    }
    remove_pins(m_folder);
    return removed;
}

} // namespace tabard::pipeline
