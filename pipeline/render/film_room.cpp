#include "pipeline/render/film_room.h"

#include <algorithm>
#include <array>
#include <cerrno>
#include <limits>
#include <system_error>

#include <fmt/format.h>
#include <sys/stat.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

// Until a new group is there to measure: what splice_quality allows.
constexpr double kExpectedGrowth = 1.4;
// Of the container: a table entry for each packet, headers.
constexpr std::int64_t kTables = 500'000;

// The nearest folder that is there: a cache may not have been made yet.
fs::path existing(fs::path path)
{
    std::error_code unknown;
    while (path.has_relative_path() && !fs::exists(path, unknown))
        path = path.parent_path();
    return path.empty() ? "." : path;
}

bool on_one_disk(fs::path const& a, fs::path const& b)
{
    struct stat of_a {
    }, of_b{};
    return ::stat(existing(a).c_str(), &of_a) == 0 && ::stat(existing(b).c_str(), &of_b) == 0 &&
           of_a.st_dev == of_b.st_dev;
}

// The disk, or the user's share of it, is full. libav hands the system's own words on, and no number.
bool says_disk_is_full(Error const& error)
{
    return error.kind == ErrorKind::io && std::ranges::any_of(std::array{ENOSPC, EDQUOT}, [&](int code) {
               return error.what.find(std::generic_category().message(code)) != std::string::npos;
           });
}

} // namespace

FilmSize::FilmSize(SpliceSource const& source, std::vector<bool> const& touched, std::int64_t footage_bytes)
    : m_source(source), m_touched(touched)
{
    for (std::size_t i = 0; i < touched.size(); ++i)
        (touched[i] ? m_touched_to_come : m_copied_to_come) += source.groups[i].bytes;
    m_beside = std::max<std::int64_t>(0, footage_bytes - m_touched_to_come - m_copied_to_come);
}

std::int64_t FilmSize::expected(std::int64_t bytes)
{
    return static_cast<std::int64_t>(kExpectedGrowth * static_cast<double>(bytes));
}

void FilmSize::put(std::int64_t bytes)
{
    std::int64_t const before = m_source.groups[m_next].bytes;
    if (m_touched[m_next]) {
        m_touched_to_come -= before;
        m_touched_before += before;
        m_touched_after += bytes;
    } else {
        m_copied_to_come -= before;
    }
    ++m_next;
}

std::int64_t FilmSize::still_to_come() const
{
    double const growth = m_touched_before > 0
                              ? static_cast<double>(m_touched_after) / static_cast<double>(m_touched_before)
                              : kExpectedGrowth;
    double const share = 1 - static_cast<double>(m_next) / static_cast<double>(m_touched.size());
    return m_copied_to_come + static_cast<std::int64_t>(growth * static_cast<double>(m_touched_to_come)) +
           static_cast<std::int64_t>(share * static_cast<double>(m_beside)) + kTables;
}

FilmRoom::FilmRoom(fs::path film, GroupCache* cache)
    : m_film(std::move(film)), m_cache(cache && on_one_disk(m_film, cache->folder()) ? cache : nullptr)
{
}

// Where it cannot be told there is enough: writing will show.
std::int64_t FilmRoom::free_bytes() const
{
    std::error_code unknown;
    auto const space = fs::space(existing(m_film), unknown);
    constexpr auto kMost = static_cast<std::uintmax_t>(std::numeric_limits<std::int64_t>::max());
    return static_cast<std::int64_t>(unknown ? kMost : std::min(space.available, kMost));
}

void FilmRoom::need(std::int64_t bytes)
{
    std::int64_t const free = m_cache && !m_cache_is_empty ? free_bytes() : bytes;
    if (free >= bytes)
        return;
    std::int64_t const given = m_cache->give_up(bytes - free);
    m_cache_is_empty = given < bytes - free;
    m_given_up += given;
}

bool FilmRoom::allows(std::int64_t bytes, std::int64_t needed) const
{
    return !m_cache || free_bytes() - bytes > needed;
}

bool FilmRoom::empty_cache()
{
    std::int64_t const given = m_cache ? m_cache->give_up(std::numeric_limits<std::int64_t>::max()) : 0;
    m_given_up += given;
    m_cache_is_empty = true;
    return given > 0;
}

std::vector<std::string> FilmRoom::notes() const
{
    if (m_given_up == 0)
        return {};
    return {fmt::format("The disk is nearly full: {:.1f} MB of the cache '{}' were removed to make room for the film.",
                        static_cast<double>(m_given_up) / 1e6, m_cache->folder().string())};
}

Error FilmRoom::explained(Error error) const
{
    if (m_given_up > 0)
        error.what += fmt::format("; the cache '{}' is on this disk and was emptied first, {:.1f} MB",
                                  m_cache->folder().string(), static_cast<double>(m_given_up) / 1e6);
    return error;
}

Result<FilmReport> make_in_room(FilmRoom& room, std::function<Result<FilmReport>()> const& make)
{
    auto report = make();
    if (!report && says_disk_is_full(report.error()) && room.empty_cache())
        report = make();
    if (!report)
        return says_disk_is_full(report.error()) ? room.explained(report.error()) : report.error();
    for (std::string& note : room.notes())
        report->notes.push_back(std::move(note));
    return report;
}

} // namespace tabard::pipeline
