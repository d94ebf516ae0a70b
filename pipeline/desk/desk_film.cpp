#include "pipeline/desk/desk_film.h"

#include "pipeline/media/read/coded_film.h"
#include "pipeline/media/read/picture_times.h"

#include <mutex>
#include <thread>

#include <sys/resource.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

/// What tells one film from another without reading it.
struct FilmVersion {
    fs::path path;
    std::uintmax_t size = 0;
    fs::file_time_type written;
    friend bool operator==(FilmVersion const&, FilmVersion const&) = default;
};

FilmVersion version_of(KnownFilm const& film)
{
    std::error_code failed;
    FilmVersion version{film.headers ? film.path : fs::path{}, 0, {}};
    version.size = fs::file_size(version.path, failed);
    version.written = fs::last_write_time(version.path, failed);
    return version;
}

Result<std::vector<Time>> frames_of(fs::path const& film, std::stop_token const& stop)
{
    TRY_ASSIGN(CodedFilm coded, CodedFilm::open(film, stop));
    return read_picture_times(coded);
}

} // namespace

struct DeskFilm::Impl {
    std::function<void(FilmState const&)> told;
    mutable std::mutex mutex; // guards all below but the threads, which only take() and the end touch
    FilmVersion version;
    FilmState state;
    std::optional<fs::path> playable;
    Result<Frames> frames = Frames{};
    std::mutex taking;
    std::jthread reads;

    void begin(fs::path film);
    void read_frames(fs::path const& film, std::stop_token const& stop);
};

void DeskFilm::Impl::read_frames(fs::path const& film, std::stop_token const& stop)
{
    auto times = frames_of(film, stop);
    std::scoped_lock const lock{mutex};
    if (stop.stop_requested())
        return;
    if (times)
        frames = std::make_shared<std::vector<Time> const>(*std::move(times));
    else
        frames = times.error();
}

void DeskFilm::Impl::begin(fs::path film)
{
    reads = std::jthread([this, film = std::move(film)](std::stop_token const& stop) { read_frames(film, stop); });
}

DeskFilm::DeskFilm(std::function<void(FilmState const&)> told) : m_impl(std::make_unique<Impl>())
{
    m_impl->told = std::move(told);
}

DeskFilm::~DeskFilm() = default;

void DeskFilm::take(KnownFilm const& film)
{
    FilmVersion const now = version_of(film);
    std::scoped_lock const taking{m_impl->taking};
    {
        std::scoped_lock const lock{m_impl->mutex};
        if (now.path.empty())
            m_impl->state = film_state(film);
        if (m_impl->version == now)
            return;
    }
    m_impl->reads = {}; // stops and waits
    {
        std::scoped_lock const lock{m_impl->mutex};
        m_impl->version = now;
        m_impl->state = film_state(film);
        m_impl->frames = Frames{};
        m_impl->playable = film.headers ? std::optional(film.path) : std::nullopt;
    }
    if (film.headers)
        m_impl->begin(film.path);
}

FilmState DeskFilm::state() const
{
    std::scoped_lock const lock{m_impl->mutex};
    return m_impl->state;
}

std::optional<fs::path> DeskFilm::playable() const
{
    std::scoped_lock const lock{m_impl->mutex};
    return m_impl->playable;
}

Result<DeskFilm::Frames> DeskFilm::frames() const
{
    std::scoped_lock const lock{m_impl->mutex};
    return m_impl->frames;
}

} // namespace tabard::pipeline
