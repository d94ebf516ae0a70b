#pragma once
#include "overlay/base/result.h"
#include "pipeline/media/shared_bytes.h"

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// Encoded groups of pictures on disk, each under the digest of all that made it. Safe for several processes at once
/// and on several machines that share the folder (NFS, containers), and after a kill at any moment: an entry appears
/// whole under a name that nothing has (never in place of one that another machine may read), its contents carry a
/// digest that covers the key, and what does not match is removed. Entries of a pinned plan stay (see group_pins.h).
/// Losing entries costs time, never correctness.
class GroupCache {
public:
    static constexpr std::int64_t kDefaultLimit = 4'000'000'000;

    /// `limit` in bytes: store() removes the least recently used entries above it. The folder is made when needed.
    explicit GroupCache(std::filesystem::path folder, std::int64_t limit = kDefaultLimit);
    /// $TABARD_CACHE, else $XDG_CACHE_HOME/tabard, else ~/.cache/tabard (XDG Base Directory Specification). None where
    /// not even a home is known.
    static std::optional<std::filesystem::path> default_folder();

    /// `key` is hexadecimal. None where there is no sound entry.
    std::optional<SharedBytes> find(std::string const& key) const;
    /// Whether there is an entry, sound or not.
    bool has(std::string const& key) const;
    /// Where there is a sound entry already it stays: a key stands for one value. Fails with io.
    Result<void> put(std::string const& key, std::span<std::byte const> value);
    /// The same where a failure to store is no failure of the work: false, and the cache stays sound.
    bool store(std::string const& key, std::span<std::byte const> value);

    /// Removes the least recently used entries that are not pinned until `bytes` are free that were not, or none is
    /// left. Gives how many.
    std::int64_t give_up(std::int64_t bytes);

    struct Usage {
        std::int64_t entries = 0;
        std::int64_t bytes = 0;
    };
    /// Groups, and the notes of how fast they were made (see render_speed.h).
    Usage usage() const;
    /// Removes every entry and pin, and nothing else in the folder. Gives what was removed.
    Result<Usage> clear();

    std::filesystem::path const& folder() const { return m_folder; }
    std::int64_t limit() const { return m_limit; }

private:
    std::filesystem::path path_of(std::string const& key) const;
    Result<void> write_entry(std::string const& key, std::span<std::byte const> value) const;
    void make_room();

    std::filesystem::path m_folder;
    std::int64_t m_limit;
    std::int64_t m_stored_since_sweep = 0;
    bool m_swept = false;
};

} // namespace tabard::pipeline
