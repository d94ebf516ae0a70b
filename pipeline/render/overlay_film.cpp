#include "pipeline/render/overlay_film.h"

#include "pipeline/files/output_folder.h"
#include "pipeline/media/read/picture_times.h"
#include "pipeline/render/film_room.h"
#include "pipeline/render/lost_overlays.h"
#include "pipeline/time/timecode.h"

#include <algorithm>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

// Porter and Duff's over, both premultiplied, the upper one at a part of its cover.
std::uint32_t over(std::uint32_t top, std::uint32_t below, int level)
{
    std::uint32_t result = 0;
    std::uint32_t const cover = (top >> 24) * static_cast<std::uint32_t>(level);
    constexpr std::uint32_t kWhole = 255u * overlay::kFullLevel;
    for (int shift : {0, 8, 16, 24}) {
        std::uint32_t const upper = (top >> shift & 0xff) * static_cast<std::uint32_t>(level) * 255;
        std::uint32_t const lower = (below >> shift & 0xff) * (kWhole - cover);
        result |= std::min(255u, (upper + lower + kWhole / 2) / kWhole) << shift;
    }
    return result;
}

void lay_over(std::vector<std::uint32_t>& picture, int width, int height, overlay::Bitmap const& bitmap, int level)
{
    for (int y = std::max(0, -bitmap.at.y); y < bitmap.at.height && bitmap.at.y + y < height; ++y) {
        for (int x = std::max(0, -bitmap.at.x); x < bitmap.at.width && bitmap.at.x + x < width; ++x) {
            auto const from =
                static_cast<std::size_t>(y) * static_cast<std::size_t>(bitmap.at.width) + static_cast<std::size_t>(x);
            auto const to = static_cast<std::size_t>(bitmap.at.y + y) * static_cast<std::size_t>(width) +
                            static_cast<std::size_t>(bitmap.at.x + x);
            if (bitmap.pixels[from] != 0)
                picture[to] = over(bitmap.pixels[from], picture[to], level);
        }
    }
}

/// What the film looks like to who lays a track over it: upright, in square pixels.
VideoTrack upright(VideoTrack video)
{
    video.stored = video.displayed;
    video.orientation = {};
    video.sample_aspect = {};
    return video;
}

struct Part {
    Time from;
    Time to;
};

Part part_of(WriteOptions const& write, VideoTrack const& video)
{
    Time const end = video.start + video.duration;
    return {std::max(write.from, Time{0}), std::min(write.to.value_or(end), end)};
}

/// Who waits for the track.
struct Watch {
    std::stop_token stop;
    std::function<void(double)> const& progress;
};

Result<std::int64_t> write_track(OverlayTrackWriter& writer, overlay::Painter& painter, SceneRuns const& runs,
                                 std::vector<Time> const& times, Part part, Watch const& watch, FilmReport& report)
{
    SceneRun const* last = nullptr;
    for (Time const time : times) {
        if (time < part.from || time >= part.to)
            continue;
        if (watch.stop.stop_requested())
            return Error{ErrorKind::interrupted, "stopped"};
        SceneRun const* const run = runs.at(time);
        if (report.pictures > 0 && run == last)
            TRY_VOID(writer.repeat(time - part.from));
        else if (run)
            TRY_VOID(writer.write(compose_scene(painter, run->scene), time - part.from));
        else
            TRY_VOID(writer.write({}, time - part.from));
        last = run;
        ++report.pictures;
        report.drawn_pictures += run != nullptr;
        if (watch.progress)
            watch.progress(to_seconds(time - part.from) / to_seconds(part.to - part.from));
    }
    if (auto const wrong = painter.failure())
        return *wrong;
    if (report.pictures == 0)
        return Error{ErrorKind::invalid_input, "there is no frame in this part of the film"};
    return writer.finish(part.to - part.from);
}

// An editing program lays the track over the footage by it. None where the footage has none that fits its rate.
std::string first_label(VideoTrack const& video, Time from)
{
    bool const drop = video.first_label.find(';') != std::string::npos;
    auto const frame = timecode_frame(video.first_label, video.rate);
    return frame ? timecode_label(*frame + frame_at(from, video.rate), {video.rate, drop}) : std::string();
}

Result<FilmReport> write_overlay_film(FilmJob const& job, OverlayCodec codec, fs::path const& target)
{
    TRY_ASSIGN(CodedFilm film, CodedFilm::open(job.footage, job.stop));
    TRY_VOID(check_overlays_reach(job, film.info()));
    VideoTrack const video = upright(film.video());
    TRY_ASSIGN(auto painter, overlay::Painter::create(stage_for(video, job.look), job.look.theme));
    Time const end = video.start + video.duration;
    TRY_ASSIGN(auto const pictures, read_picture_times(film));
    Part const part = part_of(job.write, video);
    OverlayTrack const track{codec, video.displayed, video.rate, video.clock, first_label(video, part.from)};
    TRY_ASSIGN(auto writer, OverlayTrackWriter::create(target, track, job.stop));
    FilmReport report;
    SceneRuns const runs = job.runs.on_pictures(pictures, end);
    TRY_ASSIGN(report.bytes, write_track(writer, painter, runs, job.runs.with_repeats(pictures, end), part,
                                         {job.stop, job.progress}, report));
    return report;
}

Result<FilmReport> write_in_room(FilmJob const& job, OverlayCodec codec, fs::path const& target)
{
    auto cache = job.cache ? std::optional<GroupCache>(*job.cache) : std::nullopt;
    FilmRoom room(target, cache ? &*cache : nullptr);
    return make_in_room(room, [&] { return write_overlay_film(job, codec, target); });
}

} // namespace

std::vector<std::uint32_t> compose_scene(overlay::Painter& painter, overlay::Scene const& scene)
{
    int const width = painter.stage().raster_width;
    int const height = painter.stage().raster_height;
    std::vector<std::uint32_t> picture(static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
    for (overlay::Layer const& layer : scene.layers)
        lay_over(picture, width, height, *painter.paint(layer.content, layer.corner), layer.level);
    return picture;
}

Result<FilmReport> render_overlay_film(FilmJob const& job, OverlayCodec codec)
{
    Inputs inputs = job.inputs;
    inputs.add(job.footage);
    auto const fill = [&](auto& output) -> Result<FilmReport> {
        auto report = write_in_room(job, codec, output.path());
        if (!report)
            return output.said_of_target(report.error());
        TRY_VOID(output.commit());
        return report;
    };
    if (codec == OverlayCodec::png) {
        TRY_ASSIGN(OutputFolder folder, OutputFolder::create(job.target, inputs));
        return fill(folder);
    }
    TRY_ASSIGN(OutputFile file, OutputFile::create(job.target, job.existing, inputs));
    return fill(file);
}

} // namespace tabard::pipeline
