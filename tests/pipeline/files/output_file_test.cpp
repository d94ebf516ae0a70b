#include "pipeline/files/output_file.h"
#include "pipeline/files/temporary.h"
#include "tests/pipeline/files/names_in.h"
#include "tests/support/run_program.h"

#include <chrono>
#include <csignal>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include <fcntl.h>
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;
using tests::names_in;
using tests::read_text;
using tests::TemporaryFolder;

unsigned mode_of(fs::path const& file)
{
    struct stat status {};
    EXPECT_EQ(::stat(file.c_str(), &status), 0);
    return status.st_mode & 07777;
}

class OutputFiles : public testing::Test {
protected:
    fs::path at(std::string const& name) const { return m_folder / name; }
    Result<OutputFile> create(std::string const& name, Existing existing = Existing::keep,
                              Inputs const& inputs = {}) const
    {
        return OutputFile::create(at(name), existing, inputs);
    }
    void put(std::string const& name, std::string const& text) const { tests::write_text(at(name), text); }

    TemporaryFolder m_folder;
};

TEST_F(OutputFiles, AreNotThereUntilTheyAreWhole)
{
    {
        auto file = create("film.mp4");
        ASSERT_TRUE(file);
        EXPECT_EQ(file->path().extension(), ".mp4");
        ASSERT_TRUE(file->write(std::string_view("whole")));
        EXPECT_FALSE(fs::exists(at("film.mp4")));
        ASSERT_TRUE(file->commit());
    }
    EXPECT_THAT(names_in(m_folder.path()), ElementsAre("film.mp4"));
    EXPECT_EQ(read_text(at("film.mp4")), "whole");
}

TEST_F(OutputFiles, LeaveNothingWhenTheWorkEndsEarly)
{
    ASSERT_TRUE(create("film.mp4"));
    EXPECT_THAT(names_in(m_folder.path()), IsEmpty());
}

TEST_F(OutputFiles, KeepAnExistingFileUnlessItMayBeReplaced)
{
    put("film.mp4", "old");
    auto const refused = create("film.mp4");
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().kind, ErrorKind::invalid_input);
    EXPECT_THAT(refused.error().what, HasSubstr("--force"));

    auto allowed = create("film.mp4", Existing::replace);
    ASSERT_TRUE(allowed);
    EXPECT_EQ(read_text(at("film.mp4")), "old");
    ASSERT_TRUE(allowed->write(std::string_view("new")));
    ASSERT_TRUE(allowed->commit());
    EXPECT_EQ(read_text(at("film.mp4")), "new");
    EXPECT_THAT(names_in(m_folder.path()), SizeIs(1));
}

TEST_F(OutputFiles, DoNotReplaceWhatAppearedWhileTheyWereWritten)
{
    auto file = create("film.mp4");
    ASSERT_TRUE(file);
    put("film.mp4", "somebody else's");
    auto const committed = file->commit();
    ASSERT_FALSE(committed);
    EXPECT_EQ(committed.error().kind, ErrorKind::invalid_input);
    EXPECT_EQ(read_text(at("film.mp4")), "somebody else's");
}

TEST_F(OutputFiles, NeverTakeAnInputForATargetUnderWhateverName)
{
    put("footage.mp4", "filmed");
    fs::create_directory(at("sub"));
    fs::create_symlink(at("footage.mp4"), at("link.mp4"));
    fs::create_symlink(at("link.mp4"), at("link of link.mp4"));
    fs::create_hard_link(at("footage.mp4"), at("twin.mp4"));
    Inputs const inputs{at("footage.mp4"), at("gone.mp4")};
    for (char const* name :
         {"footage.mp4", "link.mp4", "link of link.mp4", "twin.mp4", "sub/../footage.mp4", "./footage.mp4", "gone.mp4"})
        for (Existing const existing : {Existing::keep, Existing::replace}) {
            auto const refused = create(name, existing, inputs);
            ASSERT_FALSE(refused) << name;
            EXPECT_EQ(refused.error().kind, ErrorKind::invalid_input);
            EXPECT_THAT(refused.error().what, HasSubstr("never written to"));
        }
    // The other way round: the command was given the link.
    EXPECT_FALSE(create("footage.mp4", Existing::replace, {at("link.mp4")}));
    EXPECT_EQ(read_text(at("footage.mp4")), "filmed");
}

TEST_F(OutputFiles, SayBeforeTheWorkWhatCannotBeWritten)
{
    fs::create_directory(at("folder"));
    put("plain", "");
    fs::create_symlink(at("loop b"), at("loop a"));
    fs::create_symlink(at("loop a"), at("loop b"));
    ASSERT_EQ(::mkfifo(at("pipe").c_str(), 0600), 0);
    struct Case {
        std::string name;
        char const* says;
        ErrorKind kind;
    };
    for (auto const& [name, says, kind] :
         std::vector<Case>{{"missing/film.mp4", "there is no folder '", ErrorKind::io},
                           {"folder", "is a folder", ErrorKind::invalid_input},
                           {"folder/", "is a folder", ErrorKind::invalid_input},
                           {"film.mp4/", "names a folder", ErrorKind::invalid_input},
                           {"plain/film.mp4", "Not a directory", ErrorKind::io},
                           {"loop a", "Too many levels of symbolic links", ErrorKind::io},
                           {std::string(300, 'n'), "File name too long", ErrorKind::io},
                           {"pipe", "is no ordinary file", ErrorKind::invalid_input}}) {
        auto const refused = create(name, Existing::replace);
        ASSERT_FALSE(refused) << name;
        EXPECT_THAT(refused.error().what, HasSubstr(says));
        EXPECT_EQ(refused.error().kind, kind) << name;
    }
    EXPECT_FALSE(OutputFile::create("/dev/null", Existing::replace, {}));
    EXPECT_FALSE(OutputFile::create("", Existing::replace, {}));
}

TEST_F(OutputFiles, HaveNamesAsLongAsAFileMayHave)
{
    std::string const longest = std::string(251, 'n') + ".mp4"; // 255: NAME_MAX
    auto file = create(longest);
    ASSERT_TRUE(file) << file.error().what;
    EXPECT_EQ(file->path().extension(), ".mp4");
    ASSERT_TRUE(file->commit());
    EXPECT_THAT(names_in(m_folder.path()), ElementsAre(longest));
}

TEST_F(OutputFiles, KeepTheModeOfWhatTheyReplaceAndTakeTheUmaskElse)
{
    mode_t const before = ::umask(027);
    ASSERT_TRUE(write_text("new", at("new.json"), Existing::keep, {}));
    EXPECT_EQ(mode_of(at("new.json")), 0640u);
    for (unsigned const mode : {0600u, 0444u, 0666u}) {
        put("old.json", "old");
        ASSERT_EQ(::chmod(at("old.json").c_str(), mode), 0);
        auto file = create("old.json", Existing::replace);
        ASSERT_TRUE(file);
        EXPECT_EQ(mode_of(file->path()) & 077, 0u) << "nobody else reads it before its mode is set";
        ASSERT_TRUE(file->commit());
        EXPECT_EQ(mode_of(at("old.json")), mode);
        fs::remove(at("old.json"));
    }
    ::umask(before);
}

TEST_F(OutputFiles, GoWhereALinkPoints)
{
    fs::create_directory(at("elsewhere"));
    put("elsewhere/film.mp4", "old");
    fs::create_symlink("elsewhere/film.mp4", at("film.mp4"));
    EXPECT_FALSE(create("film.mp4"));
    ASSERT_TRUE(write_text("new", at("film.mp4"), Existing::replace, {}));
    EXPECT_TRUE(fs::is_symlink(at("film.mp4")));
    EXPECT_EQ(read_text(at("elsewhere/film.mp4")), "new");
    EXPECT_THAT(names_in(at("elsewhere")), ElementsAre("film.mp4"));
}

TEST_F(OutputFiles, AreKeptFromResultsOfAFileThatChangedMeanwhile)
{
    put("footage.mp4", "filmed");
    put("film.mp4", "old");
    auto file = create("film.mp4", Existing::replace, {at("footage.mp4")});
    ASSERT_TRUE(file);
    put("footage.mp4", "fil");
    auto const committed = file->commit();
    ASSERT_FALSE(committed);
    EXPECT_EQ(committed.error().kind, ErrorKind::io);
    EXPECT_THAT(committed.error().what, HasSubstr("footage.mp4' changed while it was read"));
    EXPECT_EQ(read_text(at("film.mp4")), "old");
}

TEST_F(OutputFiles, ChangeAFileInPlaceIfItIsStillTheOneThatWasRead)
{
    put("lesson.json", "first");
    Inputs const inputs{at("lesson.json")};
    {
        auto file = OutputFile::rewrite(at("lesson.json"), inputs);
        ASSERT_TRUE(file);
        ASSERT_TRUE(file->write(std::string_view("second")));
        put("lesson.json", "an editor's");
        EXPECT_FALSE(file->commit());
    }
    EXPECT_EQ(read_text(at("lesson.json")), "an editor's");
    auto file = OutputFile::rewrite(at("lesson.json"), Inputs{at("lesson.json")});
    ASSERT_TRUE(file);
    ASSERT_TRUE(file->write(std::string_view("second")));
    ASSERT_TRUE(file->commit());
    EXPECT_EQ(read_text(at("lesson.json")), "second");
    EXPECT_THAT(names_in(m_folder.path()), SizeIs(1));
}

TEST_F(OutputFiles, AppearTogetherOrNotAtAll)
{
    std::vector<OutputFile> files;
    for (char const* name : {"a", "b"})
        files.push_back(*create(name));
    put("b", "somebody else's");
    EXPECT_FALSE(commit_together(files));
    EXPECT_FALSE(fs::exists(at("a")));
    fs::remove(at("b"));
    EXPECT_TRUE(commit_together(files));
    EXPECT_THAT(names_in(m_folder.path()), ElementsAre("a", "b"));

    std::vector<OutputFile> twice;
    twice.push_back(*create("c"));
    twice.push_back(*create("c"));
    EXPECT_THAT(commit_together(twice).error().what, HasSubstr("written twice"));
    std::vector<OutputFile> behind;
    for (char const* name : {"d", "c", "c"})
        behind.push_back(*create(name));
    EXPECT_THAT(commit_together(behind).error().what, HasSubstr("c' is to be written twice"));
    EXPECT_FALSE(fs::exists(at("c")));
}

TEST_F(OutputFiles, SayWhatWentWrongOfTheTarget)
{
    auto const file = create("film.mp4");
    ASSERT_TRUE(file);
    Error const error = file->said_of_target({ErrorKind::io, file->path().string() + ": disk full"});
    EXPECT_EQ(error.what, at("film.mp4").string() + ": disk full");
}

// What a planted link at the temporary name would do: names that are new each time cannot be planted, and one that is
// put there while the file is written is found.
TEST_F(OutputFiles, HaveTemporaryNamesThatNobodyForesees)
{
    put("stranger", "a stranger's");
    auto const first = create("film.mp4");
    auto second = create("film.mp4");
    ASSERT_TRUE(first && second);
    EXPECT_NE(first->path(), second->path());
    fs::remove(second->path());
    fs::create_symlink(at("stranger"), second->path());
    auto const committed = second->commit();
    ASSERT_FALSE(committed);
    EXPECT_THAT(committed.error().what, HasSubstr("taken away"));
    EXPECT_FALSE(fs::exists(fs::symlink_status(at("film.mp4"))));
    EXPECT_EQ(read_text(at("stranger")), "a stranger's");
}

/// What the temporary names of this machine begin with, and of another one.
struct TemporaryNames {
    std::string ours;
    std::string foreign;
};

TemporaryNames names_for(fs::path const& target)
{
    auto const file = OutputFile::create(target, Existing::keep, {});
    std::string const name = file->path().filename().string();
    std::size_t const at = name.find(".part-") + 6;
    return {name.substr(0, at + 17), name.substr(0, at) + "0123456789abcdef-"};
}

TEST_F(OutputFiles, RemoveWhatDeadWritersLeft)
{
    auto const [ours, foreign] = names_for(at("film.mp4"));
    std::string const dead = ours + "00000000000000aa.mp4";
    std::string const new_of_another_machine = foreign + "00000000000000bb.mp4";
    std::string const old_of_another_machine = foreign + "00000000000000cc.mp4";
    for (auto const& name : {dead, new_of_another_machine, old_of_another_machine})
        put(name, "half");
    fs::last_write_time(at(old_of_another_machine), fs::file_time_type::clock::now() - std::chrono::hours(25));
    put(".film.part-notes.mp4", "a person's");
    put(".other.part-0123456789abcdef-0123456789abcdef.mp4", "of another target");
    ASSERT_TRUE(create("film.mp4"));
    EXPECT_THAT(names_in(m_folder.path()),
                testing::UnorderedElementsAre(".film.part-notes.mp4", new_of_another_machine,
                                              ".other.part-0123456789abcdef-0123456789abcdef.mp4"));
}

TEST_F(OutputFiles, OfAllTargetsAreSweptInOneGo)
{
    auto const living = create("film.mp4");
    auto const [ours, foreign] = names_for(at("other.mp4"));
    put(ours + "00000000000000aa.mp4", "half");
    put(foreign + "00000000000000bb.mp4", "half");
    std::vector<std::string> const kept{"a.part-0123456789abcdef-0123456789abcdef",
                                        ".part-",
                                        ".other.part-notes.mp4",
                                        ".other.part-0123456789abcdef-0123456789abcdeg.mp4",
                                        foreign + "00000000000000bb.mp4",
                                        living->path().filename().string()};
    for (std::string const& name : kept)
        if (!fs::exists(at(name)))
            put(name, "a person's");
    remove_all_left_behind(m_folder.path());
    EXPECT_THAT(names_in(m_folder.path()), testing::UnorderedElementsAreArray(kept));
}

// A lock shows in every process that sees the file, whatever its process ids mean to us: that is what two containers
// are to each other.
TEST_F(OutputFiles, LeaveTheFilesOfLivingWritersAlone)
{
    auto const [ours, foreign] = names_for(at("film.mp4"));
    std::string const neighbour = ours + "00000000000000aa.mp4";
    std::string const old_but_held = foreign + "00000000000000bb.mp4";
    put(neighbour, "half");
    put(old_but_held, "half");
    fs::last_write_time(at(old_but_held), fs::file_time_type::clock::now() - std::chrono::hours(25));
    int ready[2];
    ASSERT_EQ(::pipe(ready), 0);
    pid_t const child = ::fork();
    if (child == 0) {
        for (auto const& name : {neighbour, old_but_held})
            if (::flock(::open(at(name).c_str(), O_RDONLY), LOCK_EX) != 0)
                ::_exit(1);
        [[maybe_unused]] auto const told = ::write(ready[1], "x", 1);
        ::pause();
    }
    char word = 0;
    ASSERT_EQ(::read(ready[0], &word, 1), 1);
    auto const living = create("film.mp4");
    ASSERT_TRUE(living);
    ASSERT_TRUE(create("film.mp4"));
    EXPECT_TRUE(fs::exists(living->path())) << "of the same process";
    EXPECT_TRUE(fs::exists(at(neighbour)));
    EXPECT_TRUE(fs::exists(at(old_but_held)));
    ::kill(child, SIGKILL);
    ::waitpid(child, nullptr, 0);
    ASSERT_TRUE(create("film.mp4"));
    EXPECT_THAT(names_in(m_folder.path()), ElementsAre(living->path().filename().string()));
    ::close(ready[0]);
    ::close(ready[1]);
}

} // namespace
} // namespace tabard::pipeline
