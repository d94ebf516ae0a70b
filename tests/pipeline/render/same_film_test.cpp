// What a film depends on: the lesson, the footage, the settings and this version. Not on the machine, the cache or what
// the system is short of.
#include "pipeline/render/film.h"
#include "tests/pipeline/render/film_for_test.h"
#include "tests/support/footage.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <array>
#include <fstream>
#include <functional>
#include <random>

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <malloc.h>
#include <sched.h>
#include <sys/inotify.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using tests::TemporaryFolder;

void make_five_groups(TemporaryFolder const& folder)
{
    tests::make_footage(folder / "in.mp4", "testsrc2=s=320x180:r=25:d=5",
                        {"-f", "lavfi", "-i", "sine=r=48000:d=5", "-pix_fmt", "yuv420p", "-g", "25", "-c:a", "aac"});
}

FilmJob job_to(TemporaryFolder const& folder, std::string const& target)
{
    FilmJob job = tests::job_for(folder / "in.mp4", folder / target,
                                 {{from_seconds(0.2), from_seconds(2.5), tests::text_scene()}});
    job.existing = Existing::replace;
    job.write.encoder = {};
    job.write.encoder.preset = "veryfast";
    return job;
}

// In a process of its own, after `limit`: 0, or one more than the kind of the error.
int render_in_child(FilmJob const& job, std::function<void()> const& limit)
{
    pid_t const child = ::fork();
    if (child == 0) {
        limit();
        auto const report = render_film(job);
        if (!report)
            fmt::print(stderr, "{}\n", report.error().what);
        ::_exit(report ? 0 : 1 + static_cast<int>(report.error().kind));
    }
    int status = 0;
    ::waitpid(child, &status, 0);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

void use_cores(int count)
{
    cpu_set_t allowed, used;
    ::sched_getaffinity(0, sizeof allowed, &allowed);
    CPU_ZERO(&used);
    for (int cpu = 0, n = 0; cpu < CPU_SETSIZE && n < count; ++cpu)
        if (CPU_ISSET(cpu, &allowed)) {
            CPU_SET(cpu, &used);
            ++n;
        }
    ::sched_setaffinity(0, sizeof used, &used);
}

struct Way {
    char const* name;
    Method method = Method::automatic;
    VideoCodec codec = VideoCodec::h264;
    char const* preset = "veryfast";
};
constexpr Way kWays[] = {
    {"copied", Method::splice_only},
    {"H.264", Method::whole},
    {"HEVC", Method::whole, VideoCodec::hevc, "veryfast"},
    {"VP9", Method::whole, VideoCodec::vp9, "8"},
    {"AV1", Method::whole, VideoCodec::av1, "8"},
};

TEST(SameFilm, ComesFromOneCoreAndFromAllOfThem)
{
    TemporaryFolder const folder;
    make_five_groups(folder);
    cpu_set_t allowed;
    ::sched_getaffinity(0, sizeof allowed, &allowed);
    if (CPU_COUNT(&allowed) < 2)
        GTEST_SKIP() << "there is one core only";
    for (Way const& way : kWays) {
        SCOPED_TRACE(way.name);
        FilmJob job = job_to(folder, "one.mp4");
        job.method = way.method;
        job.write.encoder.codec = way.codec;
        job.write.encoder.preset = way.preset;
        ASSERT_EQ(render_in_child(job, [] { use_cores(1); }), 0);
        job.target = folder / "all.mp4";
        ASSERT_EQ(render_in_child(job, [] {}), 0);
        EXPECT_TRUE(tests::read_text(folder / "one.mp4") == tests::read_text(folder / "all.mp4"));
    }
}

// However many groups are made at once, and whether a cache has some of them: short groups, and long ones on several
// threads each.
TEST(SameFilm, ComesFromAnyNumberOfJobs)
{
    TemporaryFolder const folder;
    for (char const* length : {"12", "130"}) {
        SCOPED_TRACE(length);
        tests::make_footage(folder / "in.mp4", "testsrc2=s=320x180:r=25:d=11",
                            {"-pix_fmt", "yuv420p", "-g", length, "-keyint_min", length, "-sc_threshold", "0"});
        std::string one;
        for (int const jobs : {1, 2, 3, 8}) {
            FilmJob job = job_to(folder, "jobs.mp4");
            job.runs = SceneRuns({{from_seconds(0.2), from_seconds(10.5), tests::text_scene()}});
            job.method = Method::splice_only;
            job.allowance.jobs = jobs;
            auto const report = render_film(job);
            ASSERT_TRUE(report) << report.error().what;
            std::string const film = tests::read_text(folder / "jobs.mp4");
            one = one.empty() ? film : one;
            EXPECT_TRUE(film == one) << jobs << " jobs";
            job.cache = folder / fmt::format("cache{}", jobs % 2); // two find each what the other left
            ASSERT_TRUE(render_film(job));
            EXPECT_TRUE(tests::read_text(folder / "jobs.mp4") == one) << jobs << " jobs and a cache";
        }
    }
}

TEST(SameFilm, IsMadeByAsManyEncodersAtOnceAsThereAreJobs)
{
    TemporaryFolder const folder;
    tests::make_footage(folder / "in.mp4", "testsrc2=s=1280x720:r=25:d=8", {"-pix_fmt", "yuv420p", "-g", "10"});
    FilmJob job = job_to(folder, "out.mp4");
    job.runs = SceneRuns({{from_seconds(0.1), from_seconds(7.9), tests::text_scene()}});
    for (int const jobs : {1, 4, 8}) {
        job.allowance.jobs = jobs;
        // Never more. On a busy machine a group may be done before the last job gets its own.
        int most = 0;
        for (int tries = 0; most < jobs && tries < 6; ++tries) {
            auto const report = render_film(job);
            ASSERT_TRUE(report) << report.error().what;
            EXPECT_LE(report->at_once, jobs);
            most = std::max(most, static_cast<int>(report->at_once));
        }
        EXPECT_EQ(most, jobs);
    }
    job.allowance = {8, 1}; // memory for none: one goes on all the same
    auto const report = render_film(job);
    ASSERT_TRUE(report) << report.error().what;
    EXPECT_EQ(report->at_once, 1);
}

// Also what one core left in a cache is what all of them would have made.
TEST(SameFilm, ComesWithACacheAndWithoutAndFromOneThatAnotherMachineFilled)
{
    TemporaryFolder const folder;
    make_five_groups(folder);
    ASSERT_EQ(render_in_child(job_to(folder, "plain.mp4"), [] {}), 0);
    std::string const plain = tests::read_text(folder / "plain.mp4");
    FilmJob job = job_to(folder, "cached.mp4");
    job.cache = folder / "cache";
    ASSERT_EQ(render_in_child(job, [] { use_cores(1); }), 0);
    EXPECT_TRUE(tests::read_text(folder / "cached.mp4") == plain);
    auto const again = render_film(job);
    ASSERT_TRUE(again) << again.error().what;
    EXPECT_EQ(again->from_cache, 3);
    EXPECT_EQ(again->encoded, 0);
    EXPECT_TRUE(tests::read_text(folder / "cached.mp4") == plain);
    // A second cue, later on: nothing of the first three groups changes.
    job.runs = SceneRuns({job.runs.all()[0], {from_seconds(4.1), from_seconds(4.3), tests::text_scene("Other")}});
    auto const more = render_film(job);
    ASSERT_TRUE(more) << more.error().what;
    EXPECT_EQ(more->from_cache, 3);
    EXPECT_EQ(more->encoded, 1);
}

// Decoder threads that conceal damage side by side guess now so, now so. One byte in about 2000 is wrong here.
TEST(SameFilm, ComesFromDamagedFootageEachTime)
{
    TemporaryFolder const folder;
    make_five_groups(folder);
    std::string film = tests::read_text(folder / "in.mp4");
    std::mt19937 random(20261126);
    for (std::size_t i = 0; i < film.size() / 2000; ++i)
        film[5000 + random() % (film.size() - 25'000)] ^= '\xff';
    tests::write_text(folder / "in.mp4", film);
    for (Method const method : {Method::automatic, Method::whole}) {
        std::string first;
        for (int round = 0; round < 3; ++round) {
            FilmJob job = job_to(folder, "out.mp4");
            job.method = method;
            ::mallopt(M_PERTURB, 85 * round); // what memory holds is chance as well
            auto const report = render_film(job);
            ::mallopt(M_PERTURB, 0);
            ASSERT_TRUE(report) << report.error().what;
            EXPECT_GT(report->damage.concealed_pictures, 0);
            std::string const made = tests::read_text(folder / "out.mp4");
            EXPECT_TRUE(round == 0 || made == first);
            first = made;
        }
    }
}

// A cache that cannot be used costs time and nothing else.
TEST(SameFilm, ComesWhereTheCacheCannotBeMade)
{
    TemporaryFolder const folder;
    make_five_groups(folder);
    ASSERT_TRUE(render_film(job_to(folder, "plain.mp4")));
    tests::write_text(folder / "file", "no folder");
    FilmJob job = job_to(folder, "out.mp4");
    job.cache = folder / "file" / "cache";
    auto const report = render_film(job);
    ASSERT_TRUE(report) << report.error().what;
    EXPECT_TRUE(tests::read_text(folder / "out.mp4") == tests::read_text(folder / "plain.mp4"));
    ASSERT_FALSE(report->notes.empty());
    std::string const& note = report->notes.back();
    EXPECT_NE(note.find("not kept in the cache"), std::string::npos) << note;
    EXPECT_NE(note.find("Not a directory"), std::string::npos) << note;
}

// A face that no other test of this program draws with: its file is opened when the first letter is drawn, long after
// the footage. Where no descriptor is free then, letters would come out as boxes.
TEST(SameFilm, ComesWithFewFileDescriptorsOrNotAtAll)
{
    TemporaryFolder const folder;
    make_five_groups(folder);
    for (Method const method : {Method::splice_only, Method::whole}) {
        FilmJob job = job_to(folder, "reference.mp4");
        job.look.theme.font = "DejaVu Serif";
        job.method = method;
        ASSERT_EQ(render_in_child(job, [] {}), 0);
        std::string const reference = tests::read_text(folder / "reference.mp4");
        job.target = folder / "out.mp4";
        int made = 0, refused = 0;
        for (rlim_t most = 3; most < 32 && made < 3; ++most) {
            SCOPED_TRACE(most);
            fs::remove(job.target);
            int const exit = render_in_child(job, [most] {
                rlimit const limit{most, most};
                ::setrlimit(RLIMIT_NOFILE, &limit);
            });
            made += exit == 0;
            refused += exit != 0;
            if (exit == 0) {
                EXPECT_TRUE(tests::read_text(job.target) == reference);
            } else {
                EXPECT_EQ(exit, 1 + static_cast<int>(ErrorKind::io));
                EXPECT_FALSE(fs::exists(job.target));
            }
        }
        EXPECT_EQ(made, 3);
        EXPECT_GT(refused, 1);
    }
}

/// How often a file is opened while this lives (Linux).
class OpenCounter {
public:
    explicit OpenCounter(fs::path const& file) : m_events(::inotify_init1(IN_NONBLOCK | IN_CLOEXEC))
    {
        m_ready = m_events >= 0 && ::inotify_add_watch(m_events, file.c_str(), IN_OPEN | IN_ACCESS) >= 0;
    }
    OpenCounter(OpenCounter const&) = delete;
    OpenCounter& operator=(OpenCounter const&) = delete;
    ~OpenCounter() { ::close(m_events); }
    bool ready() const { return m_ready; }
    /// So far. The kernel merges equal events in a row, so reading is watched as well.
    int count()
    {
        alignas(inotify_event) std::array<char, 65536> events{};
        for (ssize_t size = 0; (size = ::read(m_events, events.data(), events.size())) > 0;)
            for (ssize_t at = 0; at < size;) {
                auto const* const event = reinterpret_cast<inotify_event const*>(events.data() + at);
                m_count += (event->mask & IN_OPEN) != 0;
                at += static_cast<ssize_t>(sizeof *event + event->len);
            }
        return m_count;
    }

private:
    int m_events;
    bool m_ready = false;
    int m_count = 0;
};

// Once for its pictures, from the plan to the last one, and once for the sound that is copied beside them. Before, the
// writer of the result takes a sample of it, which shows whether it changed, and the bytes that are there are compared
// with what the index says, once for each file.
TEST(SameFilm, IsMadeFromFootageThatIsOpenedFourTimes)
{
    for (Method const method : {Method::splice_only, Method::whole}) {
        SCOPED_TRACE(method == Method::whole);
        TemporaryFolder const folder;
        make_five_groups(folder);
        OpenCounter counter(folder / "in.mp4");
        if (!counter.ready())
            GTEST_SKIP() << "no inotify here";
        FilmJob job = job_to(folder, "out.mp4");
        job.method = method;
        auto const report = render_film(job);
        ASSERT_TRUE(report) << report.error().what;
        EXPECT_EQ(counter.count(), 4);
    }
}

/// The process may take so much more memory than it has, as long as this lives.
class LessMemory {
public:
    explicit LessMemory(rlim_t megabytes)
    {
        ::getrlimit(RLIMIT_AS, &m_before);
        rlimit tight = m_before;
        std::ifstream("/proc/self/statm") >> tight.rlim_cur; // pages
        tight.rlim_cur = tight.rlim_cur * static_cast<rlim_t>(::sysconf(_SC_PAGESIZE)) + (megabytes << 20);
        ::setrlimit(RLIMIT_AS, &tight);
    }
    LessMemory(LessMemory const&) = delete;
    LessMemory& operator=(LessMemory const&) = delete;
    ~LessMemory() { ::setrlimit(RLIMIT_AS, &m_before); }

private:
    rlimit m_before{};
};

// Where a drawing failed for lack of memory, the same scene drawn later is whole.
TEST(Compositor, KeepsNothingOfADrawingThatFailed)
{
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
    GTEST_SKIP() << "a sanitizer needs the address space";
#endif
    VideoTrack video;
    video.stored = video.displayed = {16384, 16384};
    pid_t const child = ::fork();
    if (child == 0) {
        ::mallopt(M_MMAP_THRESHOLD, 1 << 20); // what is given back goes to the system, and must be got anew
        // A card that fills its place, so that more memory is needed after it is drawn than while.
        overlay::Scene scene;
        scene.layers.push_back({overlay::ChordCard{{"G", "", ""}, {}, {}, {}}});
        auto const whole = Compositor::create(video, tests::plain_look())->prepare(scene);
        bool failed = false;
        for (rlim_t megabytes = 400; !failed && megabytes > 0; megabytes -= 16) {
            auto compositor = Compositor::create(video, tests::plain_look());
            try {
                LessMemory const limit(megabytes);
                compositor->prepare(scene);
                continue;
            } catch (std::bad_alloc const&) {
                failed = true;
            }
            auto const again = compositor->prepare(scene);
            EXPECT_EQ(again.layers().at(0).planes->luma, whole.layers().at(0).planes->luma);
        }
        EXPECT_TRUE(failed);
        ::_exit(testing::Test::HasFailure() ? 1 : 0);
    }
    int status = 0;
    ::waitpid(child, &status, 0);
    EXPECT_EQ(status, 0);
}

} // namespace
} // namespace tabard::pipeline
