// The program watches a cue file while an editor saves it, in the ways in which editors save.
#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <filesystem>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::tests {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;
using testing::Not;

/// Runs `tabard WORDS` in a folder with the demo lesson as "my lesson.json", and `steps` meanwhile (`ready N` waits
/// until the program has worked N times). Gives all that was printed, and the exit code in the last line.
class Watch : public testing::Test {
protected:
    std::string watched(std::string const& words, std::string const& steps) const
    {
        std::string const script = R"sh(
cd "$1" || exit 1
TABARD_CACHE=$PWD/cache; export TABARD_CACHE
cp "$3" "my lesson.json"; ln -sf "$4" lantern.mp4; : > said
ready() {
  n=0
  while [ "$(grep -c 'Waiting for the next change' said)" -lt "$1" ]; do
    sleep 0.1; n=$((n + 1)); [ $n -lt 300 ] || { echo "never ready" >> said; return; }
  done
}
"$2" )sh" + words + R"sh( >> said 2>&1 &
watcher=$!
ready 1
)sh" + steps + R"sh(
kill -TERM $watcher
wait $watcher
echo "exit $?" >> said
cat said)sh";
        return run_program({"sh", "-c", script, "sh", m_folder.path(), TABARD_PROGRAM,
                            source_folder() / "sample_media/lantern.json",
                            source_folder() / "sample_media/lantern.mp4"})
            .out;
    }

    TemporaryFolder m_folder;
};

TEST_F(Watch, ChecksAgainOnEachSaveHoweverItIsWritten)
{
    auto const said = watched(R"(check --watch "my lesson.json")", R"(
sed 's/"capo": 4,/"capo": 4/' "my lesson.json" > new; mv new "my lesson.json"
ready 2
sed 's/"capo": 4/"capo": 40,/' "my lesson.json" > new; cat new > "my lesson.json"
ready 3
rm "my lesson.json"; sleep 1; cp "$3" "my lesson.json"
ready 5)");
    EXPECT_THAT(said, HasSubstr("my lesson.json:6:3: error: a comma is missing"));
    EXPECT_THAT(said, HasSubstr("\"capo\" is 40"));
    EXPECT_THAT(said, HasSubstr("exit 130"));
    EXPECT_THAT(said, Not(HasSubstr("never ready")));
    ASSERT_THAT(said, HasSubstr("is 40"));
    EXPECT_THAT(said.substr(said.find("is 40")), HasSubstr("No problems found."));
}

TEST_F(Watch, DraftsWhatTheSaveChanged)
{
    auto const said = watched(R"(render --watch "my lesson.json" -o draft.mp4)", R"(
sed 's/Am | F | C | Em/Am | F | G | Em/' "$3" > new; mv new "my lesson.json"
ready 2
ffprobe -v error -show_entries format=duration -of csv=p=0 draft.mp4 >> said
sed 's/"footage"/"note": "n", "footage"/' "my lesson.json" > new; mv new "my lesson.json"
ready 3
sed 's/"footage"/"placement": "bottom-right", "footage"/' "my lesson.json" > new; mv new "my lesson.json"
ready 4
echo '{' > "my lesson.json"
ready 5)");
    // The third bar begins at 0:22.6 and lasts three seconds; two seconds beside it.
    EXPECT_THAT(said, HasSubstr("From 0:20.6 to 0:27.6:"));
    EXPECT_THAT(said, HasSubstr("\n7.0")) << "the draft is as long";
    EXPECT_THAT(said, HasSubstr("Nothing that is seen has changed."));
    EXPECT_THAT(said.substr(said.find("Nothing that is seen")), HasSubstr("From 0:00.0 to 0:10.0:"))
        << "another corner";
    EXPECT_THAT(said, HasSubstr("the file ends inside the object")) << said;
    EXPECT_THAT(said, HasSubstr("exit 130"));
    std::vector<std::string> left;
    for (auto const& entry : fs::directory_iterator(m_folder.path()))
        left.push_back(entry.path().filename());
    EXPECT_THAT(left, testing::UnorderedElementsAre("cache", "draft.mp4", "lantern.mp4", "my lesson.json", "said"));
}

TEST_F(Watch, KeepsAFileOfAnother)
{
    write_text(m_folder / "draft.mp4", "mine");
    fs::copy_file(source_folder() / "sample_media/lantern.json", m_folder / "lantern.json");
    auto const run =
        run_program({TABARD_PROGRAM, "render", "--watch", m_folder / "lantern.json", "-o", m_folder / "draft.mp4"});
    EXPECT_EQ(run.exit, 3);
    EXPECT_THAT(run.err, HasSubstr("draft.mp4' exists"));
    EXPECT_EQ(read_text(m_folder / "draft.mp4"), "mine");
}

TEST(WatchOfNothing, EndsAtOnce)
{
    auto const run = run_program({TABARD_PROGRAM, "check", "--watch", "/nowhere/lesson.json"});
    EXPECT_EQ(run.exit, 3);
    EXPECT_THAT(run.err, HasSubstr("lesson.json"));
}

} // namespace
} // namespace tabard::tests
