#include "pipeline/desk/desk.h"
#include "pipeline/desk/file/state_folder.h"
#include "tests/support/run_program.h"

#include <atomic>
#include <chrono>
#include <csignal>
#include <set>
#include <thread>

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <sys/resource.h>

namespace tabard::pipeline {
namespace {

using json = nlohmann::ordered_json;
using tests::read_text;
using tests::write_text;

std::string const kLesson = R"({
  "tabard": 1,   "title": "Quay",
  "footage": "none.mp4", "made_for": {"duration": "1:00"},
  "my own key": [1.50, 2e3],
  "sections": [
    {"name": "Talk",   "from": "0:02", "note": "slower?"}
  ]
}
)";

class SavingAtTheDesk : public testing::Test {
protected:
    void SetUp() override
    {
        write_text(m_path, kLesson);
        reopen();
    }
    void reopen()
    {
        m_desk.reset();
        auto opened = Desk::open({m_path, m_folder / "states/one", "", [](OpenedLesson const&) { return Look{}; }});
        ASSERT_TRUE(opened) << opened.error().what;
        m_desk = *std::move(opened);
        m_routes = {};
        add_file_answers(m_routes, *m_desk);
    }
    json post(std::string const& path, json const& body, int status = 200)
    {
        Answer const answer = m_routes.post.at(path)({path, "", {}, body.dump()});
        EXPECT_EQ(answer.status, status) << path << " " << answer.body;
        return json::parse(answer.body);
    }
    std::string digest() { return m_desk->view()->digest; }
    json title(std::string const& title, std::string const& base) const
    {
        return {{"base", base}, {"what", "Title"}, {"edits", {{{"path", {"title"}}, {"value", title}}}}};
    }
    std::string on_disk() const { return read_text(m_path); }

    tests::TemporaryFolder m_folder;
    std::filesystem::path m_path = m_folder / "lesson.json";
    std::unique_ptr<Desk> m_desk;
    Routes m_routes;
};

std::string replaced(std::string text, std::string const& old, std::string const& fresh)
{
    return text.replace(text.find(old), old.size(), fresh);
}

TEST_F(SavingAtTheDesk, ChangesNothingElseInTheFile)
{
    auto const saved = post("edit", title("Pier", digest()));
    EXPECT_EQ(saved["digest"], digest());
    EXPECT_EQ(on_disk(), replaced(kLesson, "Quay", "Pier"));
    EXPECT_EQ(m_desk->view()->undo, "Title");
    auto const undone = post("undo", {{"base", digest()}});
    EXPECT_EQ(undone["what"], "Title");
    EXPECT_EQ(on_disk(), kLesson);
    EXPECT_EQ(m_desk->view()->redo, "Title");
    // A whole part that is set again with one thing changed keeps the rest as it was written.
    post("edit",
         {{"base", digest()},
          {"edits",
           {{{"path", {"sections", 0}}, {"value", {{"name", "Talk"}, {"from", "0:03"}, {"note", "slower?"}}}}}}});
    EXPECT_EQ(on_disk(), replaced(kLesson, "0:02", "0:03"));
}

TEST_F(SavingAtTheDesk, IsAllOrNothing)
{
    json edits = json::array({{{"path", {"title"}}, {"value", "Pier"}}, {{"path", {"sections", 7}}, {"remove", true}}});
    post("edit", {{"base", digest()}, {"edits", edits}}, 422);
    EXPECT_EQ(on_disk(), kLesson);
    for (json const& wrong :
         {json{{"path", json::array()}, {"value", 1}}, json{{"value", 1}}, json(5),
          json{{"path", {"title", 0}}, {"value", 1}}, json{{"path", {"sections", "x"}}, {"value", 1}},
          json{{"path", {"sections", 9}}, {"insert", 1}}, json{{"path", {"title"}}},
          json{{"path", {"title"}}, {"value", 1}, {"remove", true}}, json{{"path", {json::object()}}, {"value", 1}}})
        post("edit", {{"base", digest()}, {"edits", {wrong}}}, 422);
    post("edit", {{"base", digest()}}, 400);
    EXPECT_EQ(m_routes.post.at("edit")({"edit", "", {}, "no JSON"}).status, 400);
    EXPECT_EQ(on_disk(), kLesson);
    EXPECT_TRUE(m_desk->versions().empty());
}

TEST_F(SavingAtTheDesk, TakesWhatHasFindingsButNotWhatIsNoLesson)
{
    post("edit", {{"base", digest()}, {"edits", {{{"path", {"capo"}}, {"value", "very high"}}}}});
    EXPECT_NE(on_disk().find("very high"), std::string::npos);
    std::string const before = on_disk();
    json parts = json::array();
    for (int i = 0; i < 60'000; ++i) // the reader takes 50,000 parts, cues, pins and bars
        parts.push_back({{"name", "P"}});
    post("edit", {{"base", digest()}, {"edits", {{{"path", {"sections"}}, {"value", parts}}}}}, 422);
    EXPECT_EQ(on_disk(), before);
}

TEST_F(SavingAtTheDesk, TriesAChangeWithoutSavingIt)
{
    auto const tried = post("try", {{"base", digest()}, {"edits", {{{"path", {"capo"}}, {"value", 99}}}}});
    EXPECT_EQ(tried["findings"][0]["severity"], "error");
    EXPECT_EQ(on_disk(), kLesson);
}

TEST_F(SavingAtTheDesk, OfTwoPagesTheSecondIsToldThatItIsLate)
{
    std::string const base = digest();
    post("edit", title("First", base));
    auto const late = post("edit", title("Second", base), 409);
    EXPECT_EQ(late["digest"], digest());
    EXPECT_FALSE(late.contains("mine"));
    EXPECT_EQ(on_disk(), replaced(kLesson, "Quay", "First"));
    post("undo", {{"base", base}}, 409);
    post("restore", {{"base", base}, {"id", "00000001"}}, 409);
}

TEST_F(SavingAtTheDesk, AsksWhichTextIsKeptWhereAnotherProgramWroteToo)
{
    std::string const theirs = replaced(kLesson, "Talk", "Theirs");
    std::string const mine = replaced(kLesson, "Quay", "Mine");
    // Before the desk has seen it, and after.
    for (bool const seen : {false, true}) {
        SCOPED_TRACE(seen);
        write_text(m_path, kLesson);
        std::string const base = digest();
        write_text(m_path, theirs);
        if (seen) {
            EXPECT_NE(digest(), base);
        }
        auto const asked = post("edit", title("Mine", base), 409);
        EXPECT_EQ(asked["mine"], mine);
        EXPECT_EQ(asked["theirs"], theirs);
        EXPECT_EQ(on_disk(), theirs);
        write_text(m_path, theirs + "\n"); // once more
        auto const again = post("settle", {{"keep", "mine"}, {"mine", mine}, {"theirs", asked["digest"]}}, 409);
        EXPECT_EQ(again["theirs"], theirs + "\n");
        auto const settled = post("settle", {{"keep", "mine"}, {"mine", mine}, {"theirs", again["digest"]}});
        EXPECT_EQ(on_disk(), mine);
        EXPECT_EQ(settled["digest"], digest());
        EXPECT_EQ(*m_desk->version(m_desk->versions().front().id), theirs + "\n");
        post("undo", {{"base", digest()}});
        EXPECT_EQ(on_disk(), theirs + "\n");
    }
}

TEST_F(SavingAtTheDesk, KeepsTheOtherProgramsTextAndMineAsAVersion)
{
    std::string const theirs = replaced(kLesson, "Talk", "Theirs");
    std::string const base = digest();
    write_text(m_path, theirs);
    auto const asked = post("edit", title("Mine", base), 409);
    auto const settled = post("settle", {{"keep", "theirs"}, {"mine", asked["mine"]}, {"theirs", asked["digest"]}});
    EXPECT_EQ(on_disk(), theirs);
    EXPECT_EQ(settled["digest"], digest());
    auto const versions = m_desk->versions();
    EXPECT_TRUE(std::ranges::any_of(versions, [&](KeptVersion const& version) {
        return *m_desk->version(version.id) == asked["mine"].get<std::string>();
    }));
    post("edit", title("Now", digest()));
}

TEST_F(SavingAtTheDesk, AFileThatWasRemovedIsWrittenAgainWhereTheAuthorWants)
{
    std::string const base = digest();
    std::filesystem::remove(m_path);
    auto const asked = post("edit", title("Mine", base), 409);
    EXPECT_EQ(asked["theirs"], "");
    EXPECT_EQ(digest(), base); // it is still seen
    EXPECT_EQ(post("undo", {{"base", base}}, 409)["theirs"], "");
    post("settle", {{"keep", "theirs"}, {"mine", asked["mine"]}, {"theirs", asked["digest"]}}, 422);
    post("settle", {{"keep", "mine"}, {"mine", asked["mine"]}, {"theirs", asked["digest"]}});
    EXPECT_EQ(on_disk(), replaced(kLesson, "Quay", "Mine"));
    post("edit", title("More", digest()));
}

TEST_F(SavingAtTheDesk, AFileThatAnotherProgramBrokeCanBeTakenBack)
{
    post("edit", title("Mine", digest()));
    std::string const mine = on_disk();
    write_text(m_path, "{\"tabard\": 1, ");
    std::this_thread::sleep_for(std::chrono::milliseconds{500});
    std::string const broken = digest();
    EXPECT_FALSE(m_desk->view()->broken.empty());
    post("edit", title("Other", broken), 422);
    auto const versions = m_desk->versions();
    EXPECT_EQ(*m_desk->version(versions.front().id), mine);
    post("restore", {{"base", broken}, {"id", versions.front().id}});
    EXPECT_EQ(on_disk(), mine);
    EXPECT_EQ(post("restore", {{"base", digest()}, {"id", "00000099"}}, 404)["what"].empty(), false);
}

TEST_F(SavingAtTheDesk, TellsPagesWhatAnotherProgramDid)
{
    std::uint64_t seen = 0;
    m_desk->events_after(seen);
    write_text(m_path, replaced(kLesson, "Quay", "Theirs"));
    auto const wait = [&](std::string const& name) {
        for (int i = 0; i < 10; ++i)
            for (DeskEvent const& event : m_desk->events_after(seen))
                if (event.name == name)
                    return json::parse(event.data)["digest"].get<std::string>();
        return std::string{};
    };
    EXPECT_EQ(wait("lesson"), text_digest(on_disk())); // nobody asked: it looks itself
    std::filesystem::remove(m_path);
    EXPECT_EQ(wait("elsewhere"), text_digest(""));
}

TEST_F(SavingAtTheDesk, OfManyPagesAtOnceLosesNothingAndRepeatsNothing)
{
    constexpr int kPages = 4;
    constexpr int kEach = 8;
    std::atomic<int> refused = 0;
    {
        std::vector<std::jthread> pages;
        for (int page = 0; page < kPages; ++page)
            pages.emplace_back([&, page] {
                for (int i = 0; i < kEach;) {
                    json const edit{
                        {"base", digest()},
                        {"edits", {{{"path", {"my own key", 0}}, {"insert", fmt::format("{}-{}", page, i)}}}}};
                    int const status = m_routes.post.at("edit")({"edit", "", {}, edit.dump()}).status;
                    EXPECT_TRUE(status == 200 || status == 409) << status;
                    status == 200 ? ++i : ++refused;
                }
            });
    }
    json const saved = json::parse(on_disk())["my own key"];
    std::multiset<std::string> words;
    for (json const& word : saved)
        if (word.is_string())
            words.insert(word);
    EXPECT_EQ(words.size(), static_cast<std::size_t>(kPages * kEach));
    for (int page = 0; page < kPages; ++page)
        for (int i = 0; i < kEach; ++i)
            EXPECT_EQ(words.count(fmt::format("{}-{}", page, i)), 1u);
    for (int i = 0; i < kPages * kEach; ++i)
        post("undo", {{"base", digest()}});
    EXPECT_EQ(on_disk(), kLesson);
    fmt::print("{} pages made {} changes at once; {} were told that they were late\n", kPages, kPages * kEach,
               refused.load());
}

TEST_F(SavingAtTheDesk, OpensAnotherLessonOfTheFolderAlone)
{
    std::string const other = replaced(kLesson, "Quay", "Other");
    write_text(m_folder / "other.json", other);
    write_text(m_folder / "film.mp4", "no film");
    std::filesystem::create_directory(m_folder / "sub");
    write_text(m_folder / "sub/third.json", other);
    tests::TemporaryFolder const far;
    write_text(far / "far.json", other);
    std::filesystem::create_symlink(far / "far.json", m_folder / "far.json");
    for (std::string const& name :
         {std::string{"none.json"}, std::string{"film.mp4"}, std::string{"sub/third.json"}, std::string{"./other.json"},
          (far / "far.json").string(), std::string{"far.json"},
          "../" + m_folder.path().filename().string() + "/other.json", std::string{}, std::string{"."}})
        post("open", {{"name", name}}, 404);
    EXPECT_EQ(digest(), text_digest(kLesson));
    EXPECT_EQ(post("open", {{"name", "other.json"}})["digest"], text_digest(other));
    post("edit", title("Changed", digest()));
    EXPECT_EQ(read_text(m_folder / "other.json"), replaced(kLesson, "Quay", "Changed"));
    EXPECT_EQ(on_disk(), kLesson);
    EXPECT_EQ(m_desk->options().lesson.filename(), "other.json");
    EXPECT_NE(m_desk->options().state, m_folder / "states/one");
    reopen(); // the first lesson is free again
}

TEST_F(SavingAtTheDesk, IsForOneDeskAtATime)
{
    auto const second = Desk::open({m_path, m_folder / "states/one", "", [](OpenedLesson const&) { return Look{}; }});
    ASSERT_FALSE(second);
    EXPECT_NE(second.error().what.find("open at another desk"), std::string::npos);
    ASSERT_TRUE(m_desk->announce("http://127.0.0.1:1/x/"));
    EXPECT_EQ(**page_of_running_desk(m_folder / "states/one"), "http://127.0.0.1:1/x/");
    m_desk.reset();
    EXPECT_EQ(*page_of_running_desk(m_folder / "states/one"), std::nullopt);
}

TEST_F(SavingAtTheDesk, LeavesItsStateToItsUserAlone)
{
    post("edit", title("Mine", digest()));
    ASSERT_TRUE(m_desk->announce("http://127.0.0.1:1/x/"));
    int files = 0;
    for (auto const& entry : std::filesystem::recursive_directory_iterator(m_folder / "states")) {
        auto const mode = entry.is_directory() ? std::filesystem::perms{0700} : std::filesystem::perms{0600};
        EXPECT_EQ(entry.status().permissions(), mode) << entry.path();
        ++files;
    }
    EXPECT_GE(files, 6); // lock, journal, address, the file for the browser, the folder of versions and one
}

/// As on a full disk: no file becomes larger than this.
class LargestFile {
public:
    explicit LargestFile(rlim_t bytes)
    {
        std::signal(SIGXFSZ, SIG_IGN); // as main does
        ::getrlimit(RLIMIT_FSIZE, &m_before);
        rlimit const limit{bytes, m_before.rlim_max};
        ::setrlimit(RLIMIT_FSIZE, &limit);
    }
    ~LargestFile() { ::setrlimit(RLIMIT_FSIZE, &m_before); }
    LargestFile(LargestFile const&) = delete;
    LargestFile& operator=(LargestFile const&) = delete;

private:
    rlimit m_before{};
};

TEST_F(SavingAtTheDesk, SaysSoWhereTheDiskIsFullAndLosesNothing)
{
    for (int i = 0; i < 10; ++i)
        post("edit", title(fmt::format("{}", i), digest()));
    auto const journal = std::filesystem::file_size(m_folder / "states/one/journal");
    ASSERT_GT(journal, 2 * kLesson.size());
    std::string const before = on_disk();
    for (rlim_t const room : {rlim_t{20}, static_cast<rlim_t>(journal + 10), static_cast<rlim_t>(journal)}) {
        SCOPED_TRACE(room); // not even the cue file; half of what is noted; none of it
        LargestFile const full(room);
        post("edit", title("Lost", digest()), 500);
        EXPECT_EQ(on_disk(), before);
        EXPECT_EQ(std::filesystem::file_size(m_folder / "states/one/journal"), journal);
        EXPECT_EQ(m_desk->view()->undo, "Title");
    }
    post("undo", {{"base", digest()}});
    EXPECT_EQ(on_disk(), replaced(kLesson, "Quay", "8"));
    reopen();
    post("redo", {{"base", digest()}});
    EXPECT_EQ(on_disk(), before);
}

} // namespace
} // namespace tabard::pipeline
