// Films of which only the touched groups of pictures are encoded: what is copied, what is not, and what plays.
#include "pipeline/media/read/probe.h"
#include "pipeline/media/splice/group_reader.h"
#include "pipeline/render/film_plan.h"
#include "pipeline/render/spliced_film.h"
#include "tests/pipeline/render/film_for_test.h"
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using tests::ffprobe_rows;
using tests::make_footage;
using tests::TemporaryFolder;

std::vector<std::string> hashes(fs::path const& film, std::string const& stream)
{
    return tests::packet_hashes(film, stream);
}

/// What FFmpeg says while it decodes all of a film: nothing, if all is well.
std::string complaints(fs::path const& film)
{
    auto const run = tests::run_program({"ffmpeg", "-v", "warning", "-i", film, "-f", "null", "-"});
    return run.exit == 0 ? run.err : "failed: " + run.err;
}

// Presentation time of every picture, in order of presentation (coding orders may differ).
std::vector<std::string> sorted_times(fs::path const& film)
{
    auto times = ffprobe_rows(film, "packet=pts_time");
    std::sort(times.begin(), times.end());
    return times;
}

std::vector<std::int64_t> packet_sizes(fs::path const& film)
{
    std::vector<std::int64_t> sizes;
    for (std::string const& row : ffprobe_rows(film, "packet=size"))
        sizes.push_back(std::stoll(row));
    return sizes;
}

struct Source {
    char const* name;
    char const* picture;            // a libavfilter source
    std::vector<std::string> words; // how it is encoded
    char const* file = "in.mp4";
    void (*prepare)(fs::path const&) = nullptr; // what the ffmpeg program cannot write
};

// Turned by 90 degrees, ISO/IEC 14496-12, 6.2.2: a b u c d v x y w.
void turn(fs::path const& film) { tests::set_display_matrix(film, {0, 0x10000, 0, -0x10000, 0, 0, 0, 0, 0x40000000}); }

// libavformat's clock for 25 pictures a second counts 1/12800 s. A group of 25 pictures is skipped, or half of one.
void begin_at_second_group(fs::path const& film) { tests::begin_edit_later(film, 12800, 1000); }
void begin_inside_group(fs::path const& film) { tests::begin_edit_later(film, 6144, 480); }

// Groups of one second, of more, of ten; the profiles, pyramids, rates and sounds that cameras and phones make.
Source const kSplicable[] = {
    {"one second groups", "testsrc2=s=160x96:r=25:d=3", {"-g", "25"}},
    {"long groups", "testsrc2=s=160x96:r=25:d=5", {"-g", "60", "-sc_threshold", "0"}},
    {"ten second groups", "testsrc2=s=160x96:r=25:d=12", {"-g", "250", "-sc_threshold", "0"}},
    {"Baseline", "testsrc2=s=160x96:r=25:d=3", {"-g", "25", "-profile:v", "baseline"}},
    {"Main", "testsrc2=s=160x96:r=25:d=3", {"-g", "25", "-profile:v", "main"}},
    {"pyramids", "testsrc2=s=160x96:r=25:d=3", {"-g", "25", "-bf", "7", "-x264-params", "b-pyramid=normal"}},
    {"a pyramid in three pictures",
     "testsrc2=s=160x96:r=25:d=3",
     {"-g", "25", "-bf", "3", "-x264-params", "b-pyramid=strict:ref=1"}},
    {"bidirectional pictures in two",
     "testsrc2=s=160x96:r=25:d=3",
     {"-g", "25", "-bf", "3", "-x264-params", "b-pyramid=none:ref=1"}},
    {"one reference picture", "testsrc2=s=160x96:r=25:d=3", {"-g", "25", "-bf", "0", "-x264-params", "ref=1"}},
    {"every picture by itself", "testsrc2=s=160x96:r=25:d=3", {"-g", "1"}},
    {"no reordering", "testsrc2=s=160x96:r=25:d=3", {"-g", "25", "-bf", "0"}},
    {"NTSC rate", "testsrc2=s=160x96:r=30000/1001:d=3", {"-g", "30"}},
    {"odd rate", "testsrc2=s=160x96:r=26777/1000:d=3", {"-g", "27"}},
    {"odd rate without reordering", "testsrc2=s=160x96:r=26777/1000:d=3", {"-g", "27", "-bf", "0"}},
    {"variable rate",
     "testsrc2=s=160x96:r=30:d=3,settb=1/90000,setpts='(N/30+0.3*gt(N,0)+0.009*eq(mod(N,3),2)-0.008*eq(mod(N,3),1))/"
     "TB'",
     {"-g", "30", "-vsync", "vfr", "-video_track_timescale", "90000"}},
    {"odd size", "testsrc2=s=162x98:r=25:d=3", {"-g", "25"}},
    {"full range", "testsrc2=s=160x96:r=25:d=3,scale=out_range=full", {"-g", "25", "-color_range", "pc"}},
    {"Matroska", "testsrc2=s=160x96:r=25:d=3", {"-g", "25"}, "in.mkv"},
    {"QuickTime", "testsrc2=s=160x96:r=25:d=3", {"-g", "25"}, "in.mov"},
    {"turned", "testsrc2=s=160x96:r=25:d=3", {"-g", "25"}, "in.mp4", turn},
    {"edit list that skips a group", "testsrc2=s=160x96:r=25:d=4", {"-g", "25"}, "in.mp4", begin_at_second_group},
    {"no sound", "testsrc2=s=160x96:r=25:d=3", {"-g", "25", "-an"}},
    {"MP3", "testsrc2=s=160x96:r=25:d=3", {"-g", "25", "-c:a", "libmp3lame"}},
};

SceneRun run_in_the_middle() { return {from_seconds(1.3), from_seconds(1.9), tests::text_scene()}; }

// A seek, as an editor or a player makes it, to the last picture before and the first one after every seam.
void expect_seeks_at_seams(fs::path const& film, FilmPlan const& plan)
{
    std::vector<tests::Picture> const linear = tests::read_pictures(film);
    TemporaryFolder const folder;
    for (std::size_t group = 1; group < plan.touched.size(); ++group) {
        if (plan.touched[group] == plan.touched[group - 1])
            continue;
        std::size_t const first = plan.source->groups[group].first_picture; // also in order of presentation
        for (std::size_t at : {first - 1, first}) {
            double const seconds = to_seconds(linear[at].time);
            auto const run = tests::run_program({"ffmpeg", "-v", "error", "-noautorotate", "-ss",
                                                 fmt::format("{:.6f}", seconds - 0.001), "-i", film, "-frames:v", "1",
                                                 "-f", "rawvideo", folder / "raw", "-y"});
            ASSERT_EQ(run.exit, 0) << run.err;
            EXPECT_EQ(run.err, "");
            std::string const got = tests::read_text(folder / "raw");
            auto const luma = static_cast<std::ptrdiff_t>(linear[at].luma.size());
            ASSERT_EQ(got.size(), linear[at].luma.size() * 3 / 2);
            tests::Picture const sought{
                linear[at].time, {got.begin(), got.begin() + luma}, linear[at].width, linear[at].height};
            EXPECT_GT(tests::psnr(sought, linear[at], {}, tests::Where::outside), 50) << "picture " << at;
        }
    }
}

// 45 dB over all pictures of each touched group: bidirectional ones differ from those they refer to by a few dB.
void expect_quality_outside_the_overlay(fs::path const& footage, fs::path const& film, FilmPlan const& plan)
{
    std::vector<tests::Picture> const before = tests::read_pictures(footage);
    std::vector<tests::Picture> const after = tests::read_pictures(film);
    ASSERT_EQ(before.size(), after.size());
    overlay::RectPx const ink = tests::ink_of(plan.source->info, run_in_the_middle().scene);
    for (std::size_t group = 0; group < plan.touched.size(); ++group) {
        if (!plan.touched[group])
            continue;
        GroupPlace const& place = plan.source->groups[group]; // closed: the same pictures in order of presentation
        double noise = 0;
        for (std::size_t i = place.first_picture; i < place.first_picture + place.pictures; ++i)
            noise += std::pow(10, -tests::psnr(before[i], after[i], ink, tests::Where::outside) / 10);
        EXPECT_GE(-10 * std::log10(noise / static_cast<double>(place.pictures)), 45) << "group " << group;
    }
}

class Splicing : public testing::TestWithParam<Source> {};

TEST_P(Splicing, CopiesWhatIsUntouchedBitByBitAndPlaysAndSeeksWithoutAFault)
{
    TemporaryFolder const folder;
    fs::path const footage = folder / GetParam().file;
    fs::path const film = folder / ("out" + footage.extension().string());
    auto words = GetParam().words;
    words.insert(words.begin(), {"-f", "lavfi", "-i", "sine=r=48000", "-pix_fmt", "yuv420p", "-crf", "18", "-preset",
                                 "veryfast", "-c:a", "aac", "-shortest"});
    make_footage(footage, GetParam().picture, words);
    if (GetParam().prepare)
        GetParam().prepare(footage);
    FilmJob job = tests::job_for(footage, film, {run_in_the_middle()});
    job.write.encoder = {}; // what a user gets who asks for nothing
    job.method = Method::splice_only;
    job.write.container = *container_for(film);
    auto const plan = plan_film(job);
    ASSERT_TRUE(plan && plan->source) << plan->why_whole;
    auto const report = render_film(job);
    ASSERT_TRUE(report) << report.error().what;
    EXPECT_TRUE(report->spliced);
    EXPECT_GE(report->encoded, 1);
    EXPECT_LT(report->encoded, report->groups);

    EXPECT_EQ(complaints(film), "");
    EXPECT_EQ(sorted_times(film), sorted_times(footage));
    EXPECT_EQ(probe_film(film)->video->orientation, plan->source->info.video->orientation);
    EXPECT_EQ(hashes(film, "a:0"), hashes(footage, "a:0"));
    EXPECT_EQ(ffprobe_rows(film, "packet=pts_time", "a:0"), ffprobe_rows(footage, "packet=pts_time", "a:0"));
    auto const before = hashes(footage, "v:0");
    auto const after = hashes(film, "v:0");
    ASSERT_EQ(before.size(), after.size());
    std::vector<std::int64_t> const sizes = packet_sizes(film);
    for (std::size_t group = 0; group < plan->touched.size(); ++group) {
        GroupPlace const& place = plan->source->groups[group];
        std::int64_t bytes = 0;
        for (std::size_t i = 0; i < place.pictures; ++i)
            bytes += sizes.at(place.first_picture + i);
        EXPECT_LE(static_cast<double>(bytes), 1.5 * static_cast<double>(place.bytes)) << "group " << group;
        for (std::size_t i = 0; i < place.pictures; ++i) {
            std::size_t const at = place.first_picture + i;
            if (plan->touched[group])
                EXPECT_NE(before[at], after[at]) << at;
            else
                EXPECT_EQ(before[at], after[at]) << at;
        }
    }
    tests::expect_overlay_on_its_pictures_alone(footage, film, run_in_the_middle());
    expect_quality_outside_the_overlay(footage, film, *plan);
    expect_seeks_at_seams(film, *plan);
}

INSTANTIATE_TEST_SUITE_P(Sources, Splicing, testing::ValuesIn(kSplicable), [](auto const& chosen) {
    std::string name = chosen.param.name;
    for (char& letter : name)
        letter = letter == ' ' ? '_' : letter;
    return name;
});

// Open groups are what the row is about: pictures that follow a key picture in the file are shown before it.
void expect_leading_pictures(fs::path const& film)
{
    double key = -1;
    int leading = 0;
    for (std::string const& row : ffprobe_rows(film, "packet=pts_time,flags")) {
        double const time = std::stod(row);
        key = row.find('K') == std::string::npos ? key : time;
        leading += time < key;
    }
    EXPECT_GT(leading, 0);
}

struct Refused {
    char const* name;
    char const* picture;
    std::vector<std::string> words;
    char const* file;
    char const* why; // part of the reason
    void (*prepare)(fs::path const&) = nullptr;
};
Refused const kRefused[] = {
    {"HEVC", "testsrc2=s=160x96:r=25:d=1", {"-c:v", "libx265", "-x265-params", "log-level=none"}, "in.mp4", "hevc"},
    {"AVI", "testsrc2=s=160x96:r=25:d=1", {"-c:v", "libx264", "-bf", "0"}, "in.avi", "avi"},
    {"ten bits", "testsrc2=s=160x96:r=25:d=1", {"-pix_fmt", "yuv420p10le"}, "in.mp4", "8-bit"},
    {"4:2:2", "testsrc2=s=160x96:r=25:d=1", {"-pix_fmt", "yuv422p"}, "in.mp4", "8-bit 4:2:0"},
    {"interlaced", "testsrc2=s=160x96:r=25:d=1", {"-flags", "+ildct+ilme"}, "in.mp4", "interlaced"},
    {"open groups",
     "testsrc2=s=160x96:r=25:d=3",
     {"-pix_fmt", "yuv420p", "-flags", "-cgop", "-bf", "3", "-b_strategy", "0", "-g", "20"},
     "in.mp4",
     "groups of pictures are open",
     expect_leading_pictures},
    {"edit list that begins inside a group",
     "testsrc2=s=160x96:r=25:d=3",
     {"-pix_fmt", "yuv420p", "-g", "25"},
     "in.mp4",
     "begins inside a group",
     begin_inside_group},
    {"sets among pictures", "testsrc2=s=160x96:r=25:d=1", {"-tag:v", "avc3"}, "in.mp4", "among the frames"},
};

TEST(Splicing, IsNotTriedWhereItIsNotSafeAndSaysWhy)
{
    for (Refused const& refused : kRefused) {
        SCOPED_TRACE(refused.name);
        TemporaryFolder const folder;
        make_footage(folder / refused.file, refused.picture, refused.words);
        if (refused.prepare)
            refused.prepare(folder / refused.file);
        SceneRun const run{from_seconds(0.3), from_seconds(0.9), tests::text_scene()};
        FilmJob job = tests::job_for(folder / refused.file, folder / "out.mp4", {run});
        auto const plan = plan_film(job);
        ASSERT_TRUE(plan) << plan.error().what;
        EXPECT_FALSE(plan->source);
        EXPECT_NE(plan->why_whole.find(refused.why), std::string::npos) << plan->why_whole;
        job.method = Method::splice_only;
        auto const only = render_film(job);
        ASSERT_FALSE(only);
        EXPECT_EQ(only.error().kind, ErrorKind::unsupported);
        EXPECT_FALSE(fs::exists(job.target));
        job.method = Method::automatic;
        auto const report = render_film(job);
        ASSERT_TRUE(report) << report.error().what;
        EXPECT_FALSE(report->spliced);
        EXPECT_NE(report->why_whole.find(refused.why), std::string::npos);
    }
}

// Noise that is hardly compressed: 65 MB within a second. The same film in two groups of half the size is spliced.
TEST(Splicing, IsNotTriedWhereAGroupWouldFillTheMemory)
{
    TemporaryFolder const folder;
    for (bool const one_group : {true, false}) {
        make_footage(folder / "in.mp4", "nullsrc=s=1280x720:r=30:d=1,geq=random(1)*255:128:128,noise=alls=100:allf=t",
                     {"-pix_fmt", "yuv420p", "-preset", "ultrafast", "-qp", "1", "-g", one_group ? "60" : "15"});
        ASSERT_GT(fs::file_size(folder / "in.mp4"), 65'000'000U);
        auto const plan = plan_film(tests::job_for(folder / "in.mp4", folder / "out.mp4", {}));
        ASSERT_TRUE(plan) << plan.error().what;
        EXPECT_EQ(plan->source.has_value(), !one_group);
        EXPECT_EQ(plan->why_whole, one_group ? "a group of its frames is larger than 64 MB" : "");
    }
}

TEST(Splicing, ComesFromTheCacheTheSecondTimeAndGivesTheSameFilm)
{
    TemporaryFolder const folder;
    make_footage(folder / "in.mp4", "testsrc2=s=160x96:r=25:d=5", {"-pix_fmt", "yuv420p", "-g", "25"});
    FilmJob job = tests::job_for(folder / "in.mp4", folder / "a.mp4",
                                 {{from_seconds(0.5), from_seconds(2.5), tests::text_scene()},
                                  {from_seconds(4.1), from_seconds(4.2), tests::text_scene("Other")}});
    job.cache = folder / "cache";
    auto const first = render_film(job);
    ASSERT_TRUE(first) << first.error().what;
    EXPECT_EQ(first->encoded, 4);
    EXPECT_EQ(first->from_cache, 0);
    job.target = folder / "b.mp4";
    auto const second = render_film(job);
    ASSERT_TRUE(second);
    EXPECT_EQ(second->encoded, 0);
    EXPECT_EQ(second->from_cache, 4);
    EXPECT_EQ(second->drawn_pictures, first->drawn_pictures);
    EXPECT_TRUE(tests::read_text(folder / "a.mp4") == tests::read_text(folder / "b.mp4"));

    // One cue changed: one group.
    job.target = folder / "c.mp4";
    job.runs = SceneRuns({{from_seconds(0.5), from_seconds(2.5), tests::text_scene()},
                          {from_seconds(4.1), from_seconds(4.2), tests::text_scene("Changed")}});
    auto const third = render_film(job);
    ASSERT_TRUE(third);
    EXPECT_EQ(third->encoded, 1);
    EXPECT_EQ(third->from_cache, 3);
}

// Whatever became of an entry, and wherever its group stands: what the cache lacks is encoded anew, and nothing else.
TEST(Splicing, EncodesWhatTheCacheLacksAndGivesTheSameFilm)
{
    TemporaryFolder const folder;
    make_footage(folder / "in.mp4", "testsrc2=s=160x96:r=25:d=6", {"-pix_fmt", "yuv420p", "-g", "25"});
    FilmJob job = tests::job_for(folder / "in.mp4", folder / "a.mp4",
                                 {{from_seconds(0.5), from_seconds(2.5), tests::text_scene()},
                                  {from_seconds(4.1), from_seconds(5.5), tests::text_scene("Other")}});
    job.cache = folder / "cache";
    auto const first = render_film(job);
    ASSERT_TRUE(first) << first.error().what;
    ASSERT_EQ(first->encoded, 5);
    std::string const film = tests::read_text(folder / "a.mp4");
    std::vector<fs::path> entries;
    for (auto const& entry : fs::directory_iterator(*job.cache))
        if (entry.path().extension() == ".group")
            entries.push_back(entry.path());
    ASSERT_GE(entries.size(), 5U);
    job.target = folder / "b.mp4";
    job.existing = Existing::replace;
    std::int64_t encoded = 0;
    for (fs::path const& entry : entries) {
        std::string bytes = tests::read_text(entry);
        bytes[bytes.size() / 2] = static_cast<char>(bytes[bytes.size() / 2] ^ 1);
        tests::write_text(entry, bytes);
        auto const again = render_film(job);
        ASSERT_TRUE(again) << again.error().what;
        EXPECT_LE(again->encoded, 1) << entry;
        EXPECT_EQ(again->encoded + again->from_cache, 5);
        EXPECT_TRUE(tests::read_text(job.target) == film) << entry;
        encoded += again->encoded;
    }
    EXPECT_EQ(encoded, 5); // the other entries are notes on sound and quality
}

// Another program may write on while the film is read twice.
TEST(Splicing, RefusesAFilmThatChangesAfterItWasPlanned)
{
    TemporaryFolder const folder;
    make_footage(folder / "in.mp4", "testsrc2=s=160x96:r=25:d=3", {"-pix_fmt", "yuv420p", "-g", "25"});
    FilmJob job = tests::job_for(folder / "in.mp4", folder / "out.mp4", {run_in_the_middle()});
    job.write.encoder.crf = 20;
    GroupCache cache(folder / "cache");
    auto film = CodedFilm::open(job.footage);
    ASSERT_TRUE(film);
    auto const plan = plan_film(job, *film);
    ASSERT_TRUE(plan && plan->source);
    ASSERT_TRUE(plan->touched[1]);
    auto const places = ffprobe_rows(folder / "in.mp4", "packet=pos");
    std::string bytes = tests::read_text(folder / "in.mp4");
    char& inside = bytes[std::stoul(places.at(plan->source->groups[1].first_picture + 3)) + 20];
    inside = static_cast<char>(inside ^ 1);
    std::fstream(folder / "in.mp4", std::ios::in | std::ios::out | std::ios::binary) << bytes; // the same file
    FilmRoom room(job.target, &cache);
    SplicedFilmOptions const options{job.look, job.write, 0, &cache, {}, job.progress};
    auto const report = write_spliced(*film, *plan, options, room, job.target);
    ASSERT_FALSE(report);
    EXPECT_EQ(report.error().kind, ErrorKind::io);
    EXPECT_EQ(report.error().what, (folder / "in.mp4").string() + ": the file changed while it was read");
}

TEST(Splicing, CopiesTheWholeFilmWhereNothingIsShown)
{
    TemporaryFolder const folder;
    make_footage(folder / "in.mp4", "testsrc2=s=160x96:r=25:d=2", {"-pix_fmt", "yuv420p", "-g", "25"});
    auto const report = render_film(tests::job_for(folder / "in.mp4", folder / "out.mp4", {}));
    ASSERT_TRUE(report);
    EXPECT_EQ(report->encoded, 0);
    EXPECT_EQ(hashes(folder / "in.mp4", "v:0"), hashes(folder / "out.mp4", "v:0"));
}

} // namespace
} // namespace tabard::pipeline
