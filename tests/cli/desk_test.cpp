// The desk as a user, a hostile page and an impatient system meet it: the real program over real connections.
#include "tests/cli/desk_client.h"
#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <atomic>
#include <csignal>
#include <fstream>
#include <random>
#include <thread>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <sys/stat.h>

namespace tabard::tests {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using std::chrono::milliseconds;
using testing::HasSubstr;

class DeskProgram : public testing::Test {
protected:
    void SetUp() override
    {
        fs::copy_file(source_folder() / "sample_media/lantern.json", m_folder / "lantern.json");
        fs::create_symlink(source_folder() / "sample_media/lantern.mp4", m_folder / "lantern.mp4");
    }
    RunningDesk open(std::string const& lesson = "lantern.json", std::vector<std::string> const& more = {}) const
    {
        return {m_folder.path(), lesson, more};
    }
    TemporaryFolder m_folder;
};

std::string digest_of(RunningDesk const& desk) { return json::parse(desk.get("lesson").body)["digest"]; }

TEST_F(DeskProgram, GivesAHostilePageOrAnotherUserNothing)
{
    RunningDesk const desk = open();
    ASSERT_TRUE(desk.is_open()) << desk.err();
    std::string const own = "/" + desk.token() + "/";
    std::string const host = desk.host();
    std::string const write =
        fmt::format("Tabard-Token: {}\r\nContent-Type: application/json\r\nContent-Length: 2\r\n", desk.token());
    std::string const wrong = "/" + std::string(32, '0') + "/";
    struct Row {
        std::string line;
        std::string headers;
    };
    for (Row const& row : std::vector<Row>{
             {"GET /", host},
             {"GET /lesson", host},
             {"GET " + wrong, host},
             {"GET " + wrong + "lesson", host},
             {"GET " + own + "lesson", ""},
             {"GET " + own + "lesson", "Host: evil.example\r\n"},
             {"GET " + own + "lesson", "Host: evil.example:" + std::to_string(desk.port()) + "\r\n"},
             {"GET " + own + "lesson", host + host},
             {"GET " + own + "lesson", host + "Origin: http://evil.example\r\n"},
             {"GET " + own + "lesson", host + "Origin: null\r\n"},
             {"GET " + own + "film", host + "Sec-Fetch-Site: cross-site\r\nSec-Fetch-Mode: no-cors\r\n"},
             {"GET " + own + "events", host + "Sec-Fetch-Site: same-site\r\n"},
             {"GET " + own,
              host + "Sec-Fetch-Site: cross-site\r\nSec-Fetch-Mode: navigate\r\nSec-Fetch-Dest: iframe\r\n"},
             {"OPTIONS " + own + "edit", host + "Origin: http://evil.example\r\n"},
             {"PUT " + own + "edit", host + write},
             {"DELETE " + own + "lesson", host},
             {"POST " + own + "edit", host + "Content-Type: application/json\r\nContent-Length: 2\r\n"},
             {"POST " + own + "edit",
              host + "Tabard-Token: " + desk.token() + "\r\nContent-Type: text/plain\r\nContent-Length: 2\r\n"},
             {"POST " + own + "edit", host + write + "Origin: http://evil.example\r\n"},
             {"POST " + own + "edit", host + write + "Transfer-Encoding: chunked\r\n"},
             {"POST " + own + "edit", host + write + "Content-Encoding: gzip\r\n"}}) {
        SCOPED_TRACE(row.line + "\n" + row.headers);
        Reply const reply = desk.ask(row.line, row.headers, row.line.starts_with("GET") ? "" : "{}");
        EXPECT_EQ(reply.status, 403);
        EXPECT_EQ(reply.body, "");
        EXPECT_EQ(reply.headers.count("access-control-allow-origin"), 0u);
    }
}

TEST_F(DeskProgram, SaysOnEveryAnswerWhatABrowserMayDoWithIt)
{
    RunningDesk const desk = open();
    ASSERT_TRUE(desk.is_open()) << desk.err();
    for (Reply const& reply : {desk.get(""), desk.get("lesson"), desk.get("nothing"), desk.ask("GET /", desk.host()),
                               desk.post("edit", "{}"), desk.get("film", "Range: bytes=0-9\r\n"),
                               desk.ask("NONSENSE", ""), desk.get("film", "Range: nonsense\r\n")}) {
        SCOPED_TRACE(reply.status);
        EXPECT_NE(reply.status, 0);
        auto const header = [&](char const* name) {
            auto const found = reply.headers.find(name);
            return found == reply.headers.end() ? "" : found->second;
        };
        EXPECT_THAT(header("content-security-policy"), HasSubstr("default-src 'none'; script-src 'self'"));
        EXPECT_THAT(header("content-security-policy"), HasSubstr("frame-ancestors 'none'"));
        EXPECT_EQ(header("x-content-type-options"), "nosniff");
        EXPECT_EQ(header("referrer-policy"), "no-referrer");
        EXPECT_EQ(header("cross-origin-resource-policy"), "same-origin");
        EXPECT_EQ(header("cross-origin-opener-policy"), "same-origin");
        EXPECT_EQ(header("access-control-allow-origin"), "");
    }
    EXPECT_EQ(desk.get("lesson").headers.at("cache-control"), "no-store");
}

TEST_F(DeskProgram, ReachesNoFileByItsPath)
{
    write_text(m_folder / "secret.txt", "the secret");
    RunningDesk const desk = open();
    ASSERT_TRUE(desk.is_open()) << desk.err();
    for (std::string const& path :
         {std::string{"../secret.txt"}, std::string{"..%2fsecret.txt"}, std::string{"%2e%2e/secret.txt"},
          std::string{"%2e%2e%2f%2e%2e%2fetc/passwd"}, (m_folder / "secret.txt").string(), std::string{"/etc/passwd"},
          std::string{"secret.txt"}, std::string{"lantern.json"}, std::string{"film/../../secret.txt"},
          std::string{"layer/../../../secret.txt"}, std::string{"layer/%2e%2e%2fsecret.txt"},
          std::string{"version?id=../../lock"}, std::string{"version?id=%2fetc%2fpasswd"},
          std::string{"made?id=1&name=../secret.txt"}, std::string{"made?id=../x&name=/etc/passwd"},
          std::string{"lesson%00.txt"}, std::string{"..\\secret.txt"}, std::string{"layer/%0d%0aX-Evil:%201"}}) {
        SCOPED_TRACE(path);
        Reply const reply = desk.get(path);
        EXPECT_TRUE(reply.status == 404 || reply.status == 400) << reply.status;
        EXPECT_THAT(reply.body, testing::Not(HasSubstr("the secret")));
        EXPECT_THAT(reply.body, testing::Not(HasSubstr("root:")));
        EXPECT_EQ(reply.headers.count("x-evil"), 0u);
    }
}

TEST_F(DeskProgram, SendsAnyStretchOfTheFilmAndNoMore)
{
    RunningDesk const desk = open();
    ASSERT_TRUE(desk.is_open()) << desk.err();
    std::string const film = read_text(m_folder / "lantern.mp4");
    std::string const size = std::to_string(film.size());
    Reply const middle = desk.get("film", "Range: bytes=1000-100999\r\n");
    EXPECT_EQ(middle.status, 206);
    EXPECT_EQ(middle.headers.at("content-range"), "bytes 1000-100999/" + size);
    EXPECT_TRUE(middle.body == film.substr(1000, 100'000));
    Reply const end = desk.get("film", "Range: bytes=-5\r\n");
    EXPECT_EQ(end.headers.at("content-length"), "5");
    EXPECT_TRUE(end.body == film.substr(film.size() - 5));
    Reply const rest = desk.get("film", "Range: bytes=5-999999999999\r\nAccept-Encoding: gzip, br\r\n");
    EXPECT_EQ(rest.headers.at("content-range"), fmt::format("bytes 5-{}/{}", film.size() - 1, film.size()));
    EXPECT_TRUE(rest.body == film.substr(5));
    Reply const whole = desk.get("film");
    EXPECT_EQ(whole.status, 200);
    EXPECT_TRUE(whole.body == film);
    EXPECT_EQ(desk.get("film", "Range: bytes=" + size + "-\r\n").status, 416);
    // What a player kept of another film does not go together with this one's.
    EXPECT_EQ(desk.get("film", "Range: bytes=5-9\r\nIf-Range: \"other\"\r\n").status, 200);
    EXPECT_EQ(desk.get("film", "Range: bytes=5-9\r\nIf-Range: " + whole.headers.at("etag") + "\r\n").status, 206);
    Reply const head = desk.ask("HEAD /" + desk.token() + "/film", desk.host() + "Connection: close\r\n");
    EXPECT_EQ(head.headers.at("content-length"), size);
    EXPECT_EQ(head.body, "");
}

TEST_F(DeskProgram, TakesNeitherMuchNorEndlessly)
{
    RunningDesk const desk = open();
    ASSERT_TRUE(desk.is_open()) << desk.err();
    desk.get("lesson");
    std::size_t const before = desk.kilobytes("VmHWM");
    std::string const post = fmt::format("POST /{0}/edit HTTP/1.1\r\n{1}Tabard-Token: {0}\r\nContent-Type: "
                                         "application/json\r\n",
                                         desk.token(), desk.host());
    {
        Wire const wire(desk.port()); // says much, sends nothing
        wire.send(post + "Content-Length: 99999999999\r\n\r\n");
        EXPECT_EQ(wire.reply().status, 413);
    }
    {
        Wire const wire(desk.port()); // without a word of how much
        wire.send(post + "\r\n");
        wire.send(std::string(1 << 20, 'x'));
        EXPECT_NE(wire.reply(milliseconds{5000}).status, 200);
    }
    for (std::string const& start :
         {std::string{"GET /"}, "GET / HTTP/1.1\r\n" + desk.host() + "X: ", "GET / HTTP/1.1\r\n" + desk.host()}) {
        Wire const wire(desk.port());
        wire.send(start);
        std::string const block = start.ends_with("\r\n") ? "a: b\r\n" : "aaaaaa";
        std::string much;
        for (int i = 0; i < 100'000; ++i)
            much += block;
        bool taken = true;
        for (int i = 0; taken && i < 100; ++i) // 60 MB
            taken = wire.send(much);
        EXPECT_FALSE(taken); // it hung up
    }
    EXPECT_EQ(desk.get("lesson").status, 200);
    std::size_t const after = desk.kilobytes("VmHWM");
    EXPECT_LT(after, before + (64u << 10));
    fmt::print("hostile requests of 60 MB each: {} kB at most, {} kB before\n", after, before);
}

TEST_F(DeskProgram, AnswersWhileOthersAreSlow)
{
    RunningDesk const desk = open();
    ASSERT_TRUE(desk.is_open()) << desk.err();
    std::vector<std::unique_ptr<Wire>> slow;
    for (int i = 0; i < 30; ++i) {
        slow.push_back(std::make_unique<Wire>(desk.port()));
        slow.back()->send(i % 2 == 0 ? "GET /" : "GET /" + desk.token() + "/film HTTP/1.1\r\n" + desk.host() + "\r\n");
    }
    auto const start = std::chrono::steady_clock::now();
    EXPECT_EQ(desk.get("lesson").status, 200);
    EXPECT_LT(std::chrono::steady_clock::now() - start, std::chrono::seconds{5});
}

TEST_F(DeskProgram, EndsWithinASecondWithPagesOpen)
{
    for (int const signal : {SIGINT, SIGTERM, SIGHUP}) {
        RunningDesk desk = open();
        ASSERT_TRUE(desk.is_open()) << desk.err();
        std::vector<std::unique_ptr<Wire>> pages;
        for (int i = 0; i < 4; ++i) {
            pages.push_back(std::make_unique<Wire>(desk.port()));
            pages.back()->send("GET /" + desk.token() + "/events HTTP/1.1\r\n" + desk.host() + "\r\n");
            EXPECT_THAT(pages.back()->some(milliseconds{200}), HasSubstr("text/event-stream"));
        }
        pages.push_back(std::make_unique<Wire>(desk.port()));
        pages.back()->send("GET /"); // and one that is slow
        auto const start = std::chrono::steady_clock::now();
        EXPECT_EQ(desk.end_by(signal), 0);
        auto const took = std::chrono::duration_cast<milliseconds>(std::chrono::steady_clock::now() - start);
        EXPECT_LT(took, milliseconds{1000});
        fmt::print("signal {}: ended after {} ms\n", signal, took.count());
        RunningDesk const next = open(); // nothing is in its way
        EXPECT_TRUE(next.is_open()) << next.err();
    }
}

TEST_F(DeskProgram, TellsEachPageOfAChange)
{
    RunningDesk const desk = open();
    ASSERT_TRUE(desk.is_open()) << desk.err();
    Wire const page(desk.port());
    page.send("GET /" + desk.token() + "/events HTTP/1.1\r\n" + desk.host() + "\r\n");
    page.some(milliseconds{300});
    std::string const lesson = read_text(m_folder / "lantern.json");
    write_text(m_folder / "lantern.json", lesson + "\n");
    EXPECT_THAT(page.some(milliseconds{2500}), HasSubstr("event: lesson\ndata: {\"digest\":\"" + digest_of(desk)));
}

TEST_F(DeskProgram, KilledTwentyTimesInTheMiddleOfChangesLosesNoneThatItConfirmed)
{
    constexpr int kKills = 20;
    std::mt19937 dice(7); // NOLINT: the same moments in every run
    int number = 0;       // each change adds a note of its own
    int confirmed = 0;
    std::vector<int> sure;
    for (int kill = 0; kill < kKills; ++kill) {
        RunningDesk desk = open();
        ASSERT_TRUE(desk.is_open()) << desk.err();
        Reply const lesson = desk.get("lesson");
        std::atomic<bool> killed = false;
        std::jthread const killer([&, wait = milliseconds{10 + dice() % 600}] {
            std::this_thread::sleep_for(wait);
            killed = true;
            EXPECT_EQ(desk.end_by(SIGKILL), 128 + SIGKILL);
        });
        std::string base = json::parse(lesson.body)["digest"];
        while (!killed && !base.empty()) {
            json const edit{
                {"base", base},
                {"what", "Note"},
                {"edits", {{{"path", {"sections", number % 3, fmt::format("note {}", number)}}, {"value", number}}}}};
            Reply const reply = desk.post("edit", edit.dump());
            if (reply.status == 200) {
                sure.push_back(number);
                ++confirmed;
                json const answer = json::parse(reply.body, nullptr, false); // the kill may have cut it short
                base = answer.is_object() ? std::string(answer["digest"]) : "";
            } else {
                ASSERT_TRUE(killed || reply.status == 0) << reply.status << reply.body;
                base.clear();
            }
            ++number;
        }
    }
    RunningDesk const desk = open();
    ASSERT_TRUE(desk.is_open()) << desk.err();
    json const lesson = json::parse(read_text(m_folder / "lantern.json")); // readable
    std::map<int, int> found;
    for (json const& section : lesson["sections"])
        for (auto const& [key, value] : section.items())
            if (key.starts_with("note "))
                ++found[value.get<int>()];
    int wrong = 0; // lost, or there twice
    for (int const change : sure)
        wrong += found[change] == 1 ? 0 : 1;
    EXPECT_EQ(wrong, 0);
    int const late = static_cast<int>(found.size()) - confirmed;
    EXPECT_GE(late, 0); // written, though the answer did not come any more
    EXPECT_LE(late, kKills);
    EXPECT_GE(confirmed, 5); // it was killed while it worked
    fmt::print("{} kills: {} changes were sent, {} confirmed, {} lost or repeated; {} more were written and not "
               "confirmed any more\n",
               kKills, number, confirmed, wrong, late);
    std::string base = digest_of(desk);
    for (std::size_t i = 0; i < found.size(); ++i) {
        Reply const reply = desk.post("undo", json{{"base", base}}.dump());
        ASSERT_EQ(reply.status, 200) << reply.body;
        base = json::parse(reply.body)["digest"];
    }
    EXPECT_EQ(read_text(m_folder / "lantern.json"), read_text(source_folder() / "sample_media/lantern.json"));
}

/// Ends the program at each call that touches a file, as a power cut would, one after the other.
TEST_F(DeskProgram, KilledAtAnyStepOfAChangeHasItWhollyOrNotAtAll)
{
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
    GTEST_SKIP() << "a sanitizer takes no other library before it";
#endif
    std::string const before = read_text(m_folder / "lantern.json");
    std::string const title = "Lantern on the Quay";
    std::string after = before;
    after.replace(after.find(title), title.size(), "Pier");
    std::string const digest = [&] {
        RunningDesk const desk = open();
        return digest_of(desk);
    }();
    int redone = 0;
    int steps = 0;
    for (std::string const call : {"write", "fsync", "rename"})
        for (int step = 1, confirmed = 0; confirmed == 0; ++step) {
            SCOPED_TRACE(fmt::format("{} {}", call, step));
            ASSERT_LT(step, 30);
            fs::remove_all(m_folder / "state");
            write_text(m_folder / "lantern.json", before);
            {
                RunningDesk const desk(m_folder.path(), "lantern.json", {},
                                       {"LD_PRELOAD=" TABARD_KILL_AT, fmt::format("TABARD_KILL_AT={}:{}", call, step)});
                json const edit{{"base", digest}, {"edits", {{{"path", {"title"}}, {"value", "Pier"}}}}};
                confirmed = desk.is_open() ? desk.post("edit", edit.dump()).status : 0;
            }
            bool const was_written = read_text(m_folder / "lantern.json") == after;
            fs::path journal;
            for (fs::directory_entry const& entry : fs::recursive_directory_iterator(m_folder / "state"))
                if (entry.path().filename() == "journal")
                    journal = entry.path();
            bool const was_noted = !journal.empty() && fs::file_size(journal) > 0;
            RunningDesk const again = open();
            ASSERT_TRUE(again.is_open()) << again.err();
            EXPECT_EQ(read_text(m_folder / "lantern.json"), was_noted ? after : before);
            EXPECT_TRUE(was_noted || !was_written);
            EXPECT_TRUE(confirmed == 0 || (confirmed == 200 && was_written));
            redone += was_noted && !was_written ? 1 : 0;
            steps += confirmed == 0 ? 1 : 0;
        }
    EXPECT_GE(redone, 2); // before the file is on the disk, and before it has its name
    fmt::print("ended at {} steps; after {} of them the next start wrote what was noted\n", steps, redone);
}

TEST_F(DeskProgram, SendsAFilmOfThreeHundredMegabytesInSmallPieces)
{
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
    GTEST_SKIP() << "a sanitizer keeps what was freed in memory";
#endif
    constexpr std::uint64_t kSize = std::uint64_t{300} << 20;
    fs::remove(m_folder / "lantern.mp4");
    fs::copy_file(source_folder() / "sample_media/lantern.mp4", m_folder / "lantern.mp4");
    auto const small = fs::file_size(m_folder / "lantern.mp4");
    // A box of free space makes it long (ISO/IEC 14496-12, 8.1.2): its length in four bytes, and "free".
    auto const box = static_cast<std::uint32_t>(kSize - small);
    std::ofstream film(m_folder / "lantern.mp4", std::ios::binary | std::ios::app);
    for (int shift : {24, 16, 8, 0})
        film.put(static_cast<char>(box >> shift & 0xff));
    film << "free" << std::flush;
    fs::resize_file(m_folder / "lantern.mp4", kSize);

    RunningDesk const desk = open();
    ASSERT_TRUE(desk.is_open()) << desk.err();
    desk.get("lesson");
    std::size_t const before = desk.kilobytes("VmHWM");
    Reply const end = desk.get("film", fmt::format("Range: bytes={}-\r\n", kSize - 100));
    EXPECT_EQ(end.status, 206);
    EXPECT_EQ(end.body, std::string(100, '\0'));
    Reply const whole = desk.get("film");
    EXPECT_EQ(whole.body.size(), kSize);
    std::size_t const after = desk.kilobytes("VmHWM");
    EXPECT_LT(after, before + (16u << 10)); // the system counts roughly: it may even be less
    fmt::print("a film of 300 MB: {} kB at most, {} kB before it was asked for\n", after, before);
}

TEST_F(DeskProgram, OpenedTwiceShowsThePageThatIsThere)
{
    RunningDesk first = open();
    ASSERT_TRUE(first.is_open()) << first.err();
    fs::create_symlink("lantern.json", m_folder / "link.json"); // the same lesson by another name
    TemporaryFolder const other;
    fs::create_symlink(m_folder / "state", other / "state");
    RunningDesk second(other.path(), (m_folder / "link.json").string());
    EXPECT_EQ(second.port(), first.port());
    EXPECT_EQ(second.token(), first.token());
    EXPECT_EQ(second.end_by(0), 0);
    EXPECT_THAT(second.err(), HasSubstr("open already"));
    EXPECT_EQ(first.get("lesson").status, 200);
    first.end_by(SIGKILL);
    RunningDesk const third = open(); // what a killed one left is in nobody's way
    EXPECT_TRUE(third.is_open()) << third.err();
    EXPECT_NE(third.token(), first.token());
}

TEST_F(DeskProgram, BeginsALessonForAFilm)
{
    fs::remove(m_folder / "lantern.json");
    RunningDesk const desk = open("lantern.mp4");
    ASSERT_TRUE(desk.is_open()) << desk.err();
    EXPECT_EQ(json::parse(desk.get("lesson").body)["film"]["name"], "lantern.mp4");
    EXPECT_TRUE(fs::exists(m_folder / "lantern.json"));
}

TEST_F(DeskProgram, RefusesWhatIsNoLesson)
{
    ::mkfifo((m_folder / "pipe.json").c_str(), 0600);
    write_text(m_folder / "large.json", "{");
    fs::resize_file(m_folder / "large.json", std::uintmax_t{17} << 20);
    fs::create_directory(m_folder / "folder.json");
    for (char const* const name : {"none.json", "pipe.json", "large.json", "folder.json", "none.mp4"}) {
        SCOPED_TRACE(name);
        auto const run = run_program({TABARD_PROGRAM, "desk", m_folder / name, "--no-browser"});
        EXPECT_EQ(run.exit, 3);
        EXPECT_EQ(run.out, "");
        EXPECT_THAT(run.err, HasSubstr(name));
    }
}

} // namespace
} // namespace tabard::tests
