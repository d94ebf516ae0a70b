#pragma once
#include "pipeline/media/splice/splice_source.h"
#include "pipeline/render/film_report.h"
#include "pipeline/render/group_cache.h"

#include <cstdint>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// How many bytes of a spliced film are still to be written, as far as can be told on the way: copied groups are as
/// large as they are, new ones grow as those before them did.
class FilmSize {
public:
    /// `footage_bytes`: of the whole file. Borrows both others.
    FilmSize(SpliceSource const& source, std::vector<bool> const& touched, std::int64_t footage_bytes);
    /// The next group is written.
    void put(std::int64_t bytes);
    std::int64_t still_to_come() const;
    /// About what a new group will have in place of one of `bytes`, before any was made.
    static std::int64_t expected(std::int64_t bytes);

private:
    SpliceSource const& m_source;
    std::vector<bool> const& m_touched;
    std::size_t m_next = 0;
    std::int64_t m_beside = 0; ///< sound and all else
    std::int64_t m_copied_to_come = 0;
    std::int64_t m_touched_to_come = 0; ///< as large as the footage has them
    std::int64_t m_touched_before = 0;
    std::int64_t m_touched_after = 0;
};

/// Room on the disk of a film that is being written. The film comes first: a cache on the same disk gives way to it.
class FilmRoom {
public:
    /// `cache` may be null; borrowed.
    FilmRoom(std::filesystem::path film, GroupCache* cache);

    /// There are `bytes` free for the film, or the cache has given all it has.
    void need(std::int64_t bytes);
    /// A new entry of `bytes` may go into the cache: `needed` bytes stay free for the film.
    bool allows(std::int64_t bytes, std::int64_t needed) const;
    /// The cache gives all it has. Whether that made room.
    bool empty_cache();

    std::int64_t given_up() const { return m_given_up; } ///< bytes of the cache
    /// One sentence for each thing that the user should know; after all is done.
    std::vector<std::string> notes() const;
    /// Of an error that says the disk is full: what became of the cache.
    Error explained(Error error) const;

private:
    std::int64_t free_bytes() const;

    std::filesystem::path m_film;
    GroupCache* m_cache = nullptr; ///< none on another disk
    std::int64_t m_given_up = 0;
    bool m_cache_is_empty = false;
};

/// What `make` gives, with the room's notes. Where the disk is full all the same, the cache gives all it has and `make`
/// is called once more.
Result<FilmReport> make_in_room(FilmRoom& room, std::function<Result<FilmReport>()> const& make);

} // namespace tabard::pipeline
