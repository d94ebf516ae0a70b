#include "pipeline/desk/view/stand_in.h"

#include "overlay/base/small_letters.h"
#include "pipeline/files/output_file.h"
#include "pipeline/media/read/media_reader.h"
#include "pipeline/media/write/film_writer.h"
#include "pipeline/render/film.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>
#include <vector>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

constexpr int kLongerSide = 960;       // as large as a film on the page mostly is
constexpr int kCrf = 26;               // to look at while working
constexpr int kLargePicture = 1 << 21; // of pixels: of larger ones each thread of a decoder holds much
constexpr std::uintmax_t kMostBytes = 4'000'000'000;

template <std::size_t N>
bool is_one_of(std::string_view word, std::array<std::string_view, N> const& words)
{
    return std::ranges::find(words, word) != words.end();
}

/// 8 bits, 4:2:0, no fields, upright or turned: what decoders everywhere are made for.
bool is_plain(VideoTrack const& video)
{
    return video.layout == PixelLayout{8, 1, 1} && !video.interlaced && !video.orientation.mirrored;
}

bool is_plain_h264(VideoTrack const& video)
{
    return video.codec == "h264" && is_plain(video) &&
           is_one_of(video.profile,
                     std::array<std::string_view, 4>{"Constrained Baseline", "Baseline", "Main", "High"});
}

template <std::size_t N>
bool sounds_as(MediaInfo const& film, std::array<std::string_view, N> const& codecs)
{
    return film.sound.empty() || is_one_of(film.sound.front().codec, codecs);
}

/// Even, as 4:2:0 wants it, and never larger than it is.
SizePx small_size(SizePx stored)
{
    double const scale = std::min(1.0, static_cast<double>(kLongerSide) / std::max(stored.width, stored.height));
    auto const side = [scale](int pixels) {
        return std::max(2, 2 * static_cast<int>(std::lround(pixels * scale / 2)));
    };
    return {side(stored.width), side(stored.height)};
}

WriteOptions options(std::stop_token stop)
{
    WriteOptions write;
    write.container = Container::mp4;
    write.encoder = {VideoCodec::h264, kCrf, "veryfast", 2};
    write.for_browsers = true;
    write.stop = std::move(stop);
    return write;
}

Result<void> copy_film(MediaInfo const& film, fs::path const& target, std::stop_token const& stop,
                       std::function<void(double)> const& progress)
{
    FilmJob job;
    job.footage = film.path;
    job.target = target;
    job.inputs.add(film.path);
    job.write = options(stop);
    job.existing = Existing::replace;
    job.method = Method::splice_only;
    job.allowance.jobs = 1;
    job.stop = stop;
    job.progress = progress;
    TRY_VOID(render_film(job));
    return {};
}

double share_done(Time time, VideoTrack const& video)
{
    return video.duration > Time{0} ? std::clamp(to_seconds(time - video.start) / to_seconds(video.duration), 0.0, 1.0)
                                    : 0.0;
}

Result<void> write_small(MediaInfo const& film, fs::path const& file, std::stop_token const& stop,
                         std::function<void(double)> const& progress)
{
    SizePx const stored = film.video->stored;
    ReadOptions reading;
    reading.threads = stored.width * stored.height > kLargePicture ? 1 : 2;
    reading.scaled = small_size(stored);
    reading.stop = stop;
    TRY_ASSIGN(MediaReader reader, MediaReader::open(film.path, reading));
    TRY_ASSIGN(FilmWriter writer, FilmWriter::create(file, reader.info(), options(stop)));
    while (true) {
        TRY_ASSIGN(auto picture, reader.next());
        if (!picture)
            break;
        progress(share_done(picture->time(), *film.video));
        TRY_VOID(writer.write(*std::move(picture)));
    }
    TRY_VOID(writer.finish());
    return {};
}

Result<void> encode_film(MediaInfo const& film, fs::path const& target, std::stop_token const& stop,
                         std::function<void(double)> const& progress)
{
    Inputs inputs;
    inputs.add(film.path);
    TRY_ASSIGN(OutputFile output, OutputFile::create(target, Existing::replace, inputs));
    if (auto const done = write_small(film, output.path(), stop, progress); !done)
        return output.said_of_target(done.error());
    return output.commit();
}

} // namespace

bool plays_in_browsers(MediaInfo const& film)
{
    VideoTrack const& video = *film.video;
    if (film.container.find("mp4") != std::string::npos)
        return is_plain_h264(video) && sounds_as(film, std::array<std::string_view, 3>{"aac", "mp3", "opus"});
    bool const is_webm = small_letters(film.path.extension().string()) == ".webm"; // others call Matroska so, too
    return is_webm && is_plain(video) && is_one_of(video.codec, std::array<std::string_view, 3>{"vp8", "vp9", "av1"}) &&
           sounds_as(film, std::array<std::string_view, 2>{"opus", "vorbis"});
}

Result<void> make_stand_in(MediaInfo const& film, fs::path const& target, std::stop_token stop,
                           std::function<void(double)> const& progress)
{
    if (is_plain_h264(*film.video)) {
        auto const copied = copy_film(film, target, stop, progress);
        if (copied || copied.error().kind == ErrorKind::interrupted || copied.error().kind == ErrorKind::io)
            return copied;
    }
    return encode_film(film, target, stop, progress);
}

Result<fs::path> stand_in_folder(fs::path const& cache)
{
    fs::path folder = cache / "stand_ins";
    std::error_code failed;
    fs::create_directories(folder, failed);
    if (failed)
        return Error{ErrorKind::io, "cannot make the folder " + folder.string() + ": " + failed.message()};
    struct Kept {
        fs::file_time_type used;
        std::uintmax_t bytes;
        fs::path path;
    };
    std::vector<Kept> all;
    for (fs::directory_iterator at(folder, failed), end; !failed && at != end; at.increment(failed)) {
        std::error_code gone;
        if (at->path().extension() == ".mp4" && !at->path().filename().string().starts_with('.'))
            all.push_back({at->last_write_time(gone), at->file_size(gone), at->path()});
    }
    std::ranges::sort(all, std::greater{}, &Kept::used);
    std::uintmax_t bytes = 0;
    for (Kept const& one : all)
        if (bytes += one.bytes; bytes > kMostBytes)
            fs::remove(one.path, failed);
    return folder;
}

} // namespace tabard::pipeline
