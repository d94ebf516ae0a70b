#include "pipeline/desk/view/desk_film.h"

#include "pipeline/desk/file/file_state.h"
#include "pipeline/desk/view/stand_in.h"
#include "pipeline/desk/view/waveform.h"
#include "pipeline/files/file_text.h"
#include "pipeline/files/output_file.h"
#include "pipeline/media/digest.h"
#include "pipeline/media/read/coded_film.h"
#include "pipeline/media/read/fingerprint.h"
#include "pipeline/media/read/picture_times.h"

#include <cmath>
#include <cstring>
#include <mutex>
#include <thread>

#include <sys/resource.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

// Raise it when the same film is made or measured in another way.
constexpr std::int64_t kVersion = 1;
constexpr std::size_t kMostKept = 1u << 30;

/// Which film, and which version of its file.
struct FilmVersion {
    fs::path path; ///< empty: none that can be read
    FileState state;
    friend bool operator==(FilmVersion const&, FilmVersion const&) = default;
};

FilmVersion version_of(KnownFilm const& film)
{
    return film.headers ? FilmVersion{film.path, file_state(film.path)} : FilmVersion{};
}

/// Of a long film the fingerprint may miss what its headers say.
Result<std::string> key_of(MediaInfo const& film)
{
    TRY_ASSIGN(std::string const fingerprint, footage_fingerprint(film.path));
    Digest digest;
    digest.add("desk").add(kVersion).add(fingerprint);
    VideoTrack const& video = *film.video;
    for (std::int64_t const fact :
         {std::int64_t{video.stream}, std::int64_t{video.stored.width}, std::int64_t{video.stored.height},
          std::int64_t{video.orientation.quarter_turns}, std::int64_t{video.orientation.mirrored}, video.start.count(),
          video.duration.count()})
        digest.add(fact);
    return digest.hex();
}

/// The times of all frames, eight bytes each, as this machine has them.
Result<std::string> read_frames(fs::path const& film, std::stop_token const& stop)
{
    TRY_ASSIGN(CodedFilm coded, CodedFilm::open(film, stop));
    TRY_ASSIGN(auto const times, read_picture_times(coded));
    std::string bytes(times.size() * sizeof(Time), '\0');
    std::memcpy(bytes.data(), times.data(), bytes.size());
    return bytes;
}

Result<std::vector<Time>> frames_of(Result<std::string> const& bytes)
{
    if (!bytes)
        return bytes.error();
    std::vector<Time> times(bytes->size() / sizeof(Time));
    std::memcpy(times.data(), bytes->data(), times.size() * sizeof(Time));
    return times;
}

/// Of this thread and those that it starts: the page comes first.
void work_behind_others()
{
    constexpr int kNice = 10;
    static_cast<void>(setpriority(PRIO_PROCESS, static_cast<id_t>(gettid()), kNice));
}

} // namespace

struct DeskFilm::Impl {
    FilmFolders folders;
    std::function<void(FilmState const&)> told;

    mutable std::mutex mutex; // guards what follows
    FilmVersion version;
    FilmState now;
    std::optional<fs::path> playable;
    Result<Frames> frames = Frames{};
    Result<Waveform> waveform = Waveform{};

    std::mutex taking; // guards the threads
    std::jthread reads;
    std::jthread makes;

    void begin(MediaInfo const& film);
    void come_to(FilmState state, std::stop_token const& stop);
    Result<std::string> read_once(MediaInfo const& film, std::string const& what,
                                  std::function<Result<std::string>()> const& read) const;
    void make(MediaInfo const& film, std::stop_token const& stop);
    Result<fs::path> stand_in(MediaInfo const& film, std::stop_token const& stop);

    template <class Value>
    void keep(Result<std::shared_ptr<Value const>>& kept, Result<Value> value, std::stop_token const& stop)
    {
        std::scoped_lock const lock{mutex};
        if (stop.stop_requested())
            return;
        if (value)
            kept = std::make_shared<Value const>(*std::move(value));
        else
            kept = value.error();
    }
};

void DeskFilm::Impl::come_to(FilmState state, std::stop_token const& stop)
{
    {
        std::scoped_lock const lock{mutex};
        if (stop.stop_requested())
            return;
        now = state;
    }
    told(state);
}

/// What is long to read is read once for each film, and then found in the state folder.
Result<std::string> DeskFilm::Impl::read_once(MediaInfo const& film, std::string const& what,
                                              std::function<Result<std::string>()> const& read) const
{
    auto const key = key_of(film);
    if (!key)
        return read();
    fs::path const file = folders.state / (what + "-" + *key);
    if (auto known = read_file_text(file, kMostKept))
        return known;
    auto made = read();
    if (made) // else it is read again the next time
        static_cast<void>(write_text(*made, file, Existing::replace, {}));
    return made;
}

Result<fs::path> DeskFilm::Impl::stand_in(MediaInfo const& film, std::stop_token const& stop)
{
    TRY_ASSIGN(std::string const key, key_of(film));
    TRY_ASSIGN(fs::path const folder, stand_in_folder(folders.cache));
    fs::path const file = folder / (key + ".mp4");
    std::error_code failed;
    if (fs::exists(file, failed)) {
        fs::last_write_time(file, fs::file_time_type::clock::now(), failed); // used just now
        return file;
    }
    double said = 0;
    auto const progress = [&](double share) {
        if (share - said < 0.01)
            return;
        said = share;
        come_to({"making", std::floor(share * 100) / 100, ""}, stop);
    };
    TRY_VOID(make_stand_in(film, file, stop, progress));
    return file;
}

void DeskFilm::Impl::make(MediaInfo const& film, std::stop_token const& stop)
{
    auto const made = stand_in(film, stop);
    if (!made)
        return come_to({"refused", 0, made.error().what}, stop);
    {
        std::scoped_lock const lock{mutex};
        if (!stop.stop_requested())
            playable = *made;
    }
    come_to({"ready", 1, ""}, stop);
}

void DeskFilm::Impl::begin(MediaInfo const& film)
{
    reads = std::jthread([this, film](std::stop_token const& stop) {
        // The page waits for the frames.
        auto const times = read_once(film, "frames", [&] { return read_frames(film.path, stop); });
        keep(frames, frames_of(times), stop);
        work_behind_others();
        keep(waveform, read_once(film, "waveform", [&] { return read_waveform(film.path, stop); }), stop);
    });
    if (!plays_in_browsers(film))
        makes = std::jthread([this, film](std::stop_token const& stop) {
            work_behind_others();
            make(film, stop);
        });
}

DeskFilm::DeskFilm(FilmFolders folders, std::function<void(FilmState const&)> told) : m_impl(std::make_unique<Impl>())
{
    m_impl->folders = std::move(folders);
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
            m_impl->now = film_state(film);
        if (m_impl->version == now)
            return;
    }
    m_impl->makes.request_stop();
    m_impl->reads = {}; // waits
    m_impl->makes = {};
    {
        std::scoped_lock const lock{m_impl->mutex};
        bool const plays = film.headers && plays_in_browsers(*film.headers);
        m_impl->version = now;
        m_impl->now = !film.headers || plays ? film_state(film) : FilmState{"making", 0, ""};
        m_impl->frames = Frames{};
        m_impl->waveform = Waveform{};
        m_impl->playable = plays ? std::optional(film.path) : std::nullopt;
    }
    if (film.headers)
        m_impl->begin(*film.headers);
}

FilmState DeskFilm::state() const
{
    std::scoped_lock const lock{m_impl->mutex};
    return m_impl->now;
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

Result<DeskFilm::Waveform> DeskFilm::waveform() const
{
    std::scoped_lock const lock{m_impl->mutex};
    return m_impl->waveform;
}

} // namespace tabard::pipeline
