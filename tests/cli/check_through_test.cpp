// A lesson is checked through a cut: what is found is said at the place where the author wrote it, with the time at
// which it is in the new film.
#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <set>
#include <string>
#include <tuple>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace tabard::tests {
namespace {

using testing::UnorderedElementsAre;

// Three mistakes: 'Em' is on for 0.6 s (line 6), the text of nine words for 1.6 s (line 8), and D is foreign to the key
// of F (line 10). "colour" means nothing (line 3). Columns are those of the chord, the text, the key, as an editor
// counts.
constexpr char const* kLesson = R"({"tabard": 1, "title": "Lantern", "footage": "FILM",
  "key": "F", "tempo": 60,
  "colour": "red",
  "sections": [
    {"name": "Talk", "from": "0:00", "to": "0:10", "show": [
      {"chord": "F", "from": "0:01"}, {"chord": "C", "from": "0:03", "to": "0:03.6"},
      {"chord": "F", "from": "0:04", "to": "0:09"},
      {"text": "Keep the third finger where it is all along", "from": "0:05", "to": "0:06.6"}]},
    {"name": "Song", "from": "0:10",
     "bars": "F | D | C"}
  ]})";

// 25 frames a second. The song comes first, then the talk, then its second half again.
constexpr char const* kCut = "TITLE: CUT AGAIN\nFCM: NON-DROP FRAME\n"
                             "001  LANTERN  V  C  00:00:10:00 00:00:22:00 01:00:00:00 01:00:12:00\n"
                             "002  LANTERN  V  C  00:00:00:00 00:00:10:00 01:00:12:00 01:00:22:00\n"
                             "003  LANTERN  V  C  00:00:04:12 00:00:10:00 01:00:22:00 01:00:27:13\n";

using Found = std::tuple<std::string, int, int, std::string, double>; // code, line, column, section, seconds

std::set<Found> found(std::vector<std::string> const& words)
{
    ProgramRun const run = run_program(words);
    auto const printed = nlohmann::json::parse(run.out);
    std::set<Found> result;
    for (auto const& finding : printed.at("findings"))
        result.emplace(finding.at("code"), finding.at("line"), finding.at("column"), finding.value("section", ""),
                       finding.value("seconds", -1.0));
    return result;
}

TEST(CheckThroughACut, SaysWhereTheAuthorWroteItAndWhenItIsInTheNewFilm)
{
    TemporaryFolder const folder;
    std::string lesson = kLesson;
    lesson.replace(lesson.find("FILM"), 4, (source_folder() / "sample_media/lantern.mp4").string());
    write_text(folder / "lesson.json", lesson);
    write_text(folder / "cut.edl", kCut);
    std::vector<std::string> const check{TABARD_PROGRAM, "check", "--json", "--quick",
                                         (folder / "lesson.json").string()};
    EXPECT_THAT(found(check),
                UnorderedElementsAre(Found{"unknown-key", 3, 3, "", -1}, Found{"brief", 6, 49, "Talk", 3},
                                     Found{"fast-text", 8, 16, "Talk", 5}, Found{"foreign-chord", 10, 19, "Song", 14}));
    auto through = check;
    through.insert(through.end(), {"--through", (folder / "cut.edl").string(), "--footage",
                                   (source_folder() / "sample_media/lantern.mp4").string()});
    // The song is 10 s earlier, the talk 12 s later, and 18 s less 12 frames the second time: 5 s is at 22.52 s. The
    // film, of 59.6 s, is not the one of this cut, of 27.52 s.
    EXPECT_THAT(found(through),
                UnorderedElementsAre(Found{"unknown-key", 3, 3, "", -1}, Found{"brief", 6, 49, "Talk", 15},
                                     Found{"fast-text", 8, 16, "Talk", 17}, Found{"foreign-chord", 10, 19, "Song", 4},
                                     Found{"other-cut", 1, 46, "", -1}));
}

} // namespace
} // namespace tabard::tests
