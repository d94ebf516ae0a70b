#include "pipeline/media/read/probe.h"
#include "pipeline/media/write/copy_film.h"
#include "pipeline/render/film.h"
#include "pipeline/render/overlay_film.h"
#include "tests/support/run_program.h"

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <string>

namespace {

using namespace tabard::pipeline;
namespace fs = std::filesystem;

FilmJob job_for(fs::path const& footage, fs::path const& target)
{
    FilmJob job;
    job.footage = footage;
    job.target = target;
    tabard::overlay::Scene scene;
    scene.layers.push_back({tabard::overlay::TextCard{"G"}});
    job.runs = SceneRuns({{from_seconds(0.35), from_seconds(0.55), scene}});
    job.look = {tabard::overlay::default_theme()};
    job.write.container = *container_for(target);
    job.write.encoder = {VideoCodec::h264, 40, "ultrafast", 1};
    return job;
}

/// A film that was made is one, and one that could not be made is not there; nothing else is left beside it.
template <class Report>
void expect_all_or_nothing(tabard::Result<Report> const& made, fs::path const& target, fs::path const& footage)
{
    std::error_code ignored;
    if (made ? !probe_film(target) : fs::exists(target, ignored))
        __builtin_trap();
    fs::remove(target, ignored);
    for (auto const& entry : fs::directory_iterator(footage.parent_path()))
        if (entry.path() != footage)
            __builtin_trap();
}

} // namespace

// A film of any bytes goes through all that writes films. The seeds are 0.9 s of libavfilter's testsrc2 and sine,
// 64 x 48, in groups of three pictures, made for this purpose:
//   ffmpeg -f lavfi -i testsrc2=s=96x64:r=10 -f lavfi -i sine=440:r=8000 -t 0.9 -g 3 -bitexact groups.mp4
// far_time.flv has one time that is 37 hours away; late_sound.ts is one such transport stream without sound and one
// with it, joined; late_sound.flv begins its sound late.
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size)
{
    static tabard::tests::TemporaryFolder const folder;
    fs::path const footage = folder / "footage";
    tabard::tests::write_text(footage, {reinterpret_cast<char const*>(data), size});
    auto const info = probe_film(footage);
    // Large pictures cost time and tell nothing.
    if (!info || info->video->stored.width > 320 || info->video->stored.height > 320)
        return 0;
    expect_all_or_nothing(render_film(job_for(footage, folder / "film.mp4")), folder / "film.mp4", footage);
    if (size % 4 == 0) {
        FilmJob job = job_for(footage, folder / "film.mkv");
        job.method = Method::whole;
        expect_all_or_nothing(render_film(job), job.target, footage);
    } else if (size % 4 == 1) {
        FilmJob const job = job_for(footage, folder / "track.mov");
        expect_all_or_nothing(render_overlay_film(job, OverlayCodec::rle), job.target, footage);
    } else if (size % 4 == 2) {
        FilmJob job = job_for(footage, folder / "part.mov");
        job.write.from = from_seconds(0.1);
        job.write.to = from_seconds(0.7);
        expect_all_or_nothing(render_film(job), job.target, footage);
    } else if (auto const copied = copy_film(folder / "copy.mkv", *info, job_for(footage, "copy.mkv").write); copied) {
        expect_all_or_nothing(copied, folder / "copy.mkv", footage);
    } else {
        fs::remove(folder / "copy.mkv");
    }
    return 0;
}
