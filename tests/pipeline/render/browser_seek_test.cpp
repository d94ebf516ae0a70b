// Seeks in a browser to both sides of every seam of spliced films: what a canvas shows is the picture that is due.
#include "pipeline/render/film_plan.h"
#include "tests/pipeline/render/film_for_test.h"
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using tests::TemporaryFolder;

constexpr int kWidth = 160, kHeight = 96;

// Grey (no matrix is in play), and each block's brightness jumps from picture to picture.
constexpr char const* kBlocks = "color=black:s=160x96:r={}:d=3,"
                                "geq=lum='16+mod(N*29+floor(X/16)*41+floor(Y/16)*53,200)':cb=128:cr=128{}";

struct Source {
    char const* name;
    char const* rate;
    char const* filter; // after the blocks
    std::vector<std::string> words;
};
Source const kSources[] = {
    {"one second groups", "25", "", {"-g", "25"}},
    {"pyramids", "25", "", {"-g", "25", "-bf", "7", "-x264-params", "b-pyramid=normal"}},
    {"odd rate", "26777/1000", "", {"-g", "27"}},
    {"odd rate without reordering", "26777/1000", "", {"-g", "27", "-bf", "0"}},
    {"variable rate",
     "30",
     ",settb=1/90000,setpts='(N/30+0.3*gt(N,0)+0.009*eq(mod(N,3),2)-0.008*eq(mod(N,3),1))/TB'",
     {"-g", "30", "-vsync", "vfr", "-video_track_timescale", "90000"}},
};

using Grey = std::vector<std::uint8_t>; // 0 to 255, row by row

/// All pictures as the ffmpeg program decodes them, luma of narrow range as the light it stands for (BT.709).
std::vector<Grey> decoded_pictures(fs::path const& film)
{
    TemporaryFolder const folder;
    auto const run = tests::run_program({"ffmpeg", "-v", "error", "-i", film, "-vsync", "passthrough", "-f", "rawvideo",
                                         "-pix_fmt", "yuv420p", folder / "raw"});
    EXPECT_EQ(run.err, "");
    std::string const raw = tests::read_text(folder / "raw");
    std::vector<Grey> pictures;
    for (std::size_t begin = 0; begin < raw.size(); begin += kWidth * kHeight * 3 / 2) {
        Grey picture;
        for (std::size_t i = 0; i < kWidth * kHeight; ++i)
            picture.push_back(static_cast<std::uint8_t>(
                std::clamp((static_cast<unsigned char>(raw[begin + i]) - 16) * 255.0 / 219 + 0.5, 0.0, 255.0)));
        pictures.push_back(std::move(picture));
    }
    return pictures;
}

double mean_difference(Grey const& a, Grey const& b)
{
    double sum = 0;
    for (std::size_t i = 0; i < a.size(); ++i)
        sum += std::abs(a[i] - b[i]);
    return sum / static_cast<double>(a.size());
}

struct Seek {
    std::string film; // name of its file
    double seconds;
    std::size_t picture; // that is due then
};

/// To the middle of the last two pictures before and the first two after each seam.
std::vector<Seek> seeks_at_seams(fs::path const& film, FilmPlan const& plan)
{
    std::vector<Seek> seeks;
    SpliceSource const& source = *plan.source;
    std::vector<Time> times;
    for (std::size_t i = 0; i < source.shown.size(); ++i)
        times.push_back(source.shown_at(i));
    std::sort(times.begin(), times.end());
    for (std::size_t group = 1; group < plan.touched.size(); ++group) {
        if (plan.touched[group] == plan.touched[group - 1])
            continue;
        std::size_t const first = source.groups[group].first_picture; // also in order of presentation
        for (std::size_t at = first - 2; at < first + 2; ++at)
            seeks.push_back({film.filename(), to_seconds(times[at] + times[at + 1]) / 2, at});
    }
    return seeks;
}

// The page is written out when it has loaded, and it is loading as long as a new frame is.
constexpr char const* kPage = R"(<!doctype html><body><script>
let done = false;
function keep_loading() {{
  const frame = document.createElement("iframe");
  frame.onload = () => {{ if (!done) keep_loading(); setTimeout(() => frame.remove(), 50); }};
  frame.srcdoc = "";
  document.body.append(frame);
}}
async function look(film, seconds) {{
  const video = document.createElement("video");
  video.muted = true;
  video.preload = "auto";
  video.src = film;
  await new Promise((ok, no) => {{ video.onloadeddata = ok; video.onerror = () => no(video.error.message); }});
  const canvas = document.createElement("canvas");
  canvas.width = video.videoWidth;
  canvas.height = video.videoHeight;
  const pen = canvas.getContext("2d", {{ willReadFrequently: true }});
  const seen = [];
  for (const at of seconds) {{
    const sought = new Promise(ok => video.onseeked = ok);
    video.currentTime = at;
    await sought;
    pen.drawImage(video, 0, 0);
    const pixels = pen.getImageData(0, 0, canvas.width, canvas.height).data;
    let text = "";
    for (let i = 1; i < pixels.length; i += 4)
      text += pixels[i].toString(16).padStart(2, "0");
    seen.push(text);
  }}
  return seen;
}}
async function look_at_all() {{
  if (!document.createElement("video").canPlayType('video/mp4; codecs="avc1.640028"'))
    return "no H.264";
  const seen = [];
  for (const [film, seconds] of [{}])
    seen.push(...await look(film, seconds));
  return "@" + seen.join("@") + "@";
}}
keep_loading();
look_at_all().catch(error => "failed: " + error).then(text => {{ document.body.innerText = text; done = true; }});
</script>)";

/// What the browser shows after each seek, or what it says instead.
Result<std::vector<Grey>> seen_in_browser(fs::path const& folder, std::string const& films)
{
    tests::write_text(folder / "page.html", fmt::format(kPage, films));
    auto const run = tests::run_program({"chromium-headless-shell", "--no-sandbox", "--disable-gpu",
                                         "--allow-file-access-from-files", "--dump-dom",
                                         "file://" + (folder / "page.html").string()});
    std::vector<Grey> seen;
    std::size_t at = run.out.find("<body>@");
    if (at == std::string::npos)
        return Error{ErrorKind::io, run.out.substr(0, 500)};
    for (at += 7; run.out[at] != '<'; ++at) {
        Grey picture;
        for (; run.out[at] != '@'; at += 2)
            picture.push_back(static_cast<std::uint8_t>(std::stoi(run.out.substr(at, 2), nullptr, 16)));
        seen.push_back(std::move(picture));
    }
    return seen;
}

TEST(BrowserSeek, ShowsThePictureThatIsDueOnBothSidesOfEverySeam)
{
    if (std::system("command -v chromium-headless-shell >/dev/null") != 0)
        GTEST_SKIP() << "needs chromium-headless-shell: run tests/setup";
    TemporaryFolder const folder;
    std::vector<Seek> seeks;
    std::string films; // for the page: name and moments of each
    for (Source const& source : kSources) {
        SCOPED_TRACE(source.name);
        std::vector<std::string> words = {"-pix_fmt", "yuv420p", "-preset", "veryfast", "-crf", "18"};
        words.insert(words.end(), source.words.begin(), source.words.end());
        fs::path const film = folder / fmt::format("film{}.mp4", &source - kSources);
        tests::make_footage(folder / "in.mp4", fmt::format(kBlocks, source.rate, source.filter), words);
        FilmJob job =
            tests::job_for(folder / "in.mp4", film, {{from_seconds(1.3), from_seconds(1.9), tests::text_scene()}});
        job.method = Method::splice_only;
        auto const plan = plan_film(job);
        ASSERT_TRUE(plan && plan->source) << plan->why_whole;
        auto const report = render_film(job);
        ASSERT_TRUE(report) << report.error().what;
        auto const of_this = seeks_at_seams(film, *plan);
        ASSERT_GE(of_this.size(), 8u);
        std::string moments;
        for (Seek const& seek : of_this)
            moments += fmt::format("{:.6f},", seek.seconds);
        films += fmt::format("[\"{}\",[{}]],", film.filename().string(), moments);
        seeks.insert(seeks.end(), of_this.begin(), of_this.end());
    }
    auto const seen = seen_in_browser(folder.path(), films);
    if (!seen && seen.error().what.find("no H.264") != std::string::npos)
        GTEST_SKIP() << "this chromium-headless-shell does not decode H.264";
    ASSERT_TRUE(seen) << seen.error().what;
    ASSERT_EQ(seen->size(), seeks.size());

    std::string decoded_film;
    std::vector<Grey> decoded;
    for (std::size_t i = 0; i < seeks.size(); ++i) {
        SCOPED_TRACE(fmt::format("{} at {:.3f} s", seeks[i].film, seeks[i].seconds));
        if (decoded_film != seeks[i].film)
            decoded = decoded_pictures(folder / (decoded_film = seeks[i].film));
        std::size_t const due = seeks[i].picture;
        ASSERT_EQ((*seen)[i].size(), decoded.at(due).size());
        // Rounding and the browser's own conversion: 0.1 levels as measured. The pictures beside differ by 55.
        EXPECT_LT(mean_difference((*seen)[i], decoded[due]), 2);
        EXPECT_GT(mean_difference((*seen)[i], decoded.at(due - 1)), 10);
        EXPECT_GT(mean_difference((*seen)[i], decoded.at(due + 1)), 10);
    }
}

} // namespace
} // namespace tabard::pipeline
