#include "tests/cli/pseudo_terminal.h"
#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <filesystem>
#include <regex>
#include <string>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

// What a first-time author does wrong, and what the program answers: where it is and what to do.
namespace tabard::tests {
namespace {

namespace fs = std::filesystem;
using testing::Contains;

/// Sound: `check` finds nothing in it.
constexpr char const* kLesson = "{\n"
                                "  \"tabard\": 1,\n"
                                "  \"title\": \"My lesson\",\n"
                                "  \"footage\": \"lesson.mp4\",\n"
                                "  \"capo\": 2,\n"
                                "  \"key\": \"D\",\n"
                                "  \"meter\": \"4/4\",\n"
                                "  \"tempo\": 80,\n"
                                "  \"strums\": {\"plain\": \"D - D U - U D U\"},\n"
                                "  \"sections\": [\n"
                                "    {\"name\": \"Welcome\", \"from\": \"0:00\", \"to\": \"0:04\"},\n"
                                "    {\"name\": \"Verse\", \"from\": \"0:05\", \"strum\": \"plain\",\n"
                                "     \"bars\": \"C | G | Am | F\"}\n"
                                "  ]\n"
                                "}\n";

std::vector<std::string> lines(std::string const& text)
{
    std::vector<std::string> result;
    for (std::size_t at = 0; at < text.size();) {
        std::size_t const end = std::min(text.find('\n', at), text.size());
        result.push_back(text.substr(at, end - at));
        at = end + 1;
    }
    return result;
}

/// A folder with the lesson, its film and a lesson whose name has a space.
class Mistakes : public testing::Test {
protected:
    Mistakes()
    {
        write_text(m_folder / "lesson.json", kLesson);
        write_text(m_folder / "my lesson.json", kLesson);
        fs::create_symlink(source_folder() / "sample_media/lantern.mp4", m_folder / "lesson.mp4");
    }

    /// In that folder, as its author would.
    ProgramRun run(std::vector<std::string> words) const
    {
        words.insert(words.begin(), {"sh", "-c", "cd \"$0\" && exec \"$@\"", m_folder.path(), TABARD_PROGRAM});
        return run_program(words);
    }

    TemporaryFolder m_folder;
};

struct Written {
    char const* name;
    char const* right; ///< in the lesson, stands once or is meant where it stands first
    char const* wrong; ///< written in its place
    int exit;
    char const* says; ///< the line that `check` prints, without the file's name
};

// Lines and columns counted by hand in the lesson above; columns in bytes from 1 (GNU Coding Standards, "Formatting
// Error Messages").
constexpr Written kWritten[] = {
    {"minutes written with a point", R"("from": "0:05")", R"("from": 1.35)", 1,
     R"(12:31: warning: 1.35 is read as 1.35 seconds, not as minutes and seconds; write "1:35" or 95 for 1 min 35 s [minutes-or-seconds])"},
    {"an end written with a point", R"("0:04")", "0.04", 0,
     R"(11:47: warning: 0.04 is read as 0.04 seconds, not as minutes and seconds; write "0:04" or 4 for 0 min 4 s [minutes-or-seconds])"},
    {"cords for bars", R"("bars")", R"("cords")", 1,
     R"(13:6: warning: a part has no key "cords"; write "bars" [unknown-key])"},
    {"chords for bars", R"("bars")", R"("chords")", 1,
     R"(13:6: warning: a part has no key "chords"; write "bars" [unknown-key])"},
    {"a strum without spaces", "D - D U - U D U", "D-DU-UDU", 1,
     R"(9:23: error: "D-DU-UDU" at position 1 of the pattern is not a step: write D or U (with p i m a for the finger, x muted, > accent), - to let the hand pass, or strings like 6p, 6p+1a, Rp; write "D - D U - U D U" [bad-strum])"},
    {"a strum in words", "D - D U - U D U", "down down up", 1,
     R"(9:23: error: "down" at position 1 of the pattern is not a step: write D or U (with p i m a for the finger, x muted, > accent), - to let the hand pass, or strings like 6p, 6p+1a, Rp; write "D - D U" [bad-strum])"},
    {"strokes for a strum's name", R"("strum": "plain")", R"("strum": "D DU UDU")", 1,
     R"(12:48: error: "strums" has no 'D DU UDU'; give the strokes a name: write "strums": {"mine": "D - D U - U D U"} at the top, and "strum": "mine" here [unknown-strum])"},
    {"a strum that is not there", R"("strum": "plain")", R"("strum": "plan")", 1,
     R"(12:48: error: "strums" has no 'plan'; did you mean 'plain'? [unknown-strum])"},
    {"a path of Windows", "lesson.mp4", R"(C:\Users\me\lesson.mp4)", 1,
     R"(4:17: error: \U means nothing in JSON; in the name of a file write / or \\ for each \ [not-json])"},
    {"a path of Windows that is JSON by chance", "lesson.mp4", R"(C:\new\take.mp4)", 1,
     R"(4:14: error: the footage's name holds a line end or a tab; in the name of a file write / or \\ for each \ [bad-value])"},
    {"a path of Windows with a form feed", "lesson.mp4", R"(C:\film.mp4)", 1,
     R"(4:14: error: this text holds the control character U+000C; in the name of a file write / or \\ for each \ [bad-value])"},
    {"no closing quote", R"("My lesson")", R"("My lesson)", 1,
     R"(3:12: error: this text is not closed on its line; write " where it ends; a text of several lines is a list: ["one", "two"] [not-json])"},
    {"no closing quote, and more on the line", R"("Welcome")", R"("Welcome)", 1,
     R"(11:14: error: a quote is missing, or one too many stands in this text: it reads as "Welcome, ", and then comes from; close the text where it ends; write \" for a quote inside it [not-json])"},
    {"no opening quote of a key", R"("title")", R"(title")", 1,
     R"(3:3: error: 't' is not expected here: a key stands in double quotes; write "title" [not-json])"},
    {"no closing brace of a part", R"("to": "0:04"})", R"("to": "0:04")", 1,
     "12:5: error: the object that begins on line 11 is not closed before this '{'; write } where it ends [not-json]"},
    {"no closing brace of the file", "  ]\n}\n", "  ]\n", 1,
     "15:1: error: the file ends inside the object that begins on line 1; write } here, or each where its part ends "
     "[not-json]"},
    {"no closing bracket of the parts", "  ]\n}", "}", 1,
     "14:1: error: the list that begins on line 10 is not closed before this '}'; write ] where it ends [not-json]"},
    {"braces for a list", R"("sections": [)", R"("sections": {)", 1,
     "11:5: error: the object that begins on line 10 has no key before this '{'; write a list in [ ], not in { } "
     "[not-json]"},
    {"a capo in words", R"("capo": 2)", R"("capo": "2nd fret")", 1,
     R"(5:11: error: "capo" must be a number, and this is a text; write the number alone, without quotes: 2 [wrong-type])"},
    {"a capo in quotes", R"("capo": 2)", R"("capo": "2")", 1,
     R"(5:11: error: "capo" must be a number, and this is a text; write it without quotes: 2 [wrong-type])"},
    {"a capo below zero", R"("capo": 2)", R"("capo": -1)", 1,
     R"(5:11: error: "capo" is -1; write a whole number from 0 to 24 [bad-value])"},
    {"a capo that is true", R"("capo": 2)", R"("capo": true)", 1,
     R"(5:11: error: "capo" must be a number, and this is true or false; write a number [wrong-type])"},
    {"a word for the meter", R"("meter": "4/4")", R"("meter": "waltz")", 1,
     R"(7:12: error: 'waltz' is no meter: there is no / between beats and unit; write "3/4" [bad-value])"},
    {"letters for the tuning", R"("meter")", R"("tuning": "EADGBe", "meter")", 1,
     R"(7:13: error: "EADGBe" at position 1 of the tuning is not a note with its octave, like E2 or Bb3; write "E2 A2 D3 G3 B3 E4" [bad-value])"},
    {"four letters for the tuning", R"("meter")", R"("tuning": "EADG", "meter")", 1,
     R"(7:13: error: "EADG" at position 1 of the tuning is not a note with its octave, like E2 or Bb3; write note names with octaves, low string first [bad-value])"},
    {"milliseconds after a colon", R"("from": "0:05")", R"("from": "00:00:05:250")", 1,
     R"(12:31: error: no frame has the timecode '00:00:05:250' at 25 frames per second; write "0:05.25" [bad-time])"},
    {"a text for show", R"("bars")", R"("show": "p thumb", "bars")", 1,
     R"(13:14: error: "show" must be a list, and this is a text; write [{"text": "...", "from": "0:42"}] [wrong-type])"},
    {"a theme that is not there", R"("meter")", R"("theme": "dark", "meter")", 1,
     R"(7:12: error: there is no theme "dark"; name one of dark_card, light_card, or a file of your own [bad-value])"},
    {"start for from", R"("from": "0:05")", R"("start": "0:05")", 1,
     R"(12:23: error: a part has no key "start"; write "from" [missing-key])"},
    {"end for to", R"("to")", R"("end")", 0, R"(11:41: warning: a part has no key "end"; write "to" [unknown-key])"},
    {"bpm for tempo", R"("tempo")", R"("bpm")", 1,
     R"(8:3: warning: a cue file has no key "bpm"; write "tempo" [unknown-key])"},
    {"time for from", R"("from": "0:05")", R"("time": "0:05")", 1,
     R"(12:23: error: a part has no key "time"; write "from" [missing-key])"},
    {"time signature for meter", R"("meter")", R"("time_signature")", 0,
     R"(7:3: warning: a cue file has no key "time_signature"; write "meter" [unknown-key])"},
    {"title for a part's name", R"("name": "Verse")", R"("title": "Verse")", 1,
     R"(12:6: error: a part has no key "title"; write "name" [missing-key])"},
    {"name for the title", R"("title")", R"("name")", 1,
     R"(3:3: error: a cue file has no key "name"; write "title" [missing-key])"},
    {"strumming for strum", R"("strum": "plain")", R"("strumming": "plain")", 0,
     R"(12:39: warning: a part has no key "strumming"; write "strum" [unknown-key])"},
    {"lyrics for words", R"("bars")", R"("lyrics": "la la", "bars")", 0,
     R"(13:6: warning: a part has no key "lyrics"; write "words" [unknown-key])"},
    {"parts for sections", R"("sections")", R"("parts")", 1,
     R"(10:3: error: a cue file has no key "parts"; write "sections" [missing-key])"},
    {"video for footage", R"("footage")", R"("video")", 1,
     R"(4:3: error: a cue file has no key "video"; write "footage" [missing-key])"},
    {"a key with a capital", R"("title")", R"("Title")", 1,
     R"(3:3: error: a cue file has no key "Title"; write "title" [missing-key])"},
    {"a misspelt key", R"("meter")", R"("metter")", 0,
     R"(7:3: warning: a cue file has no key "metter"; did you mean 'meter'? [unknown-key])"},
    {"a key in the wrong place", R"("bars")", R"("capo": 2, "bars")", 0,
     R"(13:6: warning: a part has no key "capo"; write it at the top of the file, beside "title" [unknown-key])"},
    {"a key that means nothing", R"("capo")", R"("mood": "blue", "capo")", 0,
     R"(5:3: warning: a cue file has no key "mood"; take it out, or write a remark into "note" [unknown-key])"},
    {"a comma before a brace", R"("to": "0:04"})", R"("to": "0:04",})", 1,
     "11:53: error: there is a comma before a closing bracket; take the comma away [not-json]"},
    {"a comma before a bracket", R"(Am | F"})", R"(Am | F"},)", 1,
     "13:31: error: there is a comma before a closing bracket; take the comma away [not-json]"},
    {"single quotes", R"("My lesson")", "'My lesson'", 1,
     R"(3:12: error: a single quote is not expected here; write double quotes: " [not-json])"},
    {"printed quotes", R"("My lesson")", "“My lesson”", 1,
     R"(3:12: error: '“' is not expected here: it is a quote of printed text; write the straight quote " and switch "smart quotes" off in your editor [not-json])"},
    {"a printed quote at the end", R"("My lesson")", R"("My lesson”)", 1,
     R"(3:12: error: this text is not closed on its line: it begins with " and holds ”; write the straight quote " at its end [not-json])"},
    {"a comment", R"(  "capo")", "  // the capo\n  \"capo\"", 1,
     R"(5:3: error: JSON has no comments; write a "note" instead [not-json])"},
    {"a missing comma", R"("capo": 2,)", R"("capo": 2)", 1,
     "6:3: error: a comma is missing before this; write , at the end of the value before [not-json]"},
    {"a missing comma between parts", R"("to": "0:04"},)", R"("to": "0:04"})", 1,
     "12:5: error: a comma is missing before this; write , at the end of the value before [not-json]"},
    {"an equals sign", R"("capo": 2)", R"("capo" = 2)", 1,
     R"(5:10: error: the key "capo" has no colon behind it; write "capo": and then the value [not-json])"},
    {"a colon inside a key", R"("capo": 2)", R"("capo:" 2)", 1,
     R"(5:3: error: the colon stands inside the quotes of "capo:"; write "capo": and then the value [not-json])"},
    {"a key without quotes", R"("capo")", "capo", 1,
     R"(5:3: error: 'c' is not expected here: a key stands in double quotes; write "capo" [not-json])"},
    {"a semicolon", R"("capo": 2,)", R"("capo": 2;)", 1,
     "5:12: error: a semicolon stands where a comma belongs; write , and not ; [not-json]"},
    {"a comma in a number", R"("tempo": 80)", R"("tempo": 80,5)", 1,
     "8:14: error: a comma stands inside a number; write a point: 80.5 [not-json]"},
    {"a key without a value", R"("capo": 2)", R"("capo":)", 1,
     R"(5:10: error: the key "capo" has no value; write one after the colon, or take the key out [not-json])"},
    {"a tab in a text", "My lesson", "My\tlesson", 1,
     R"(3:15: error: this text holds a tab; write a space, or \t for a tab [not-json])"},
    {"a text over two lines", "C | G | Am | F", "C | G |\n Am | F", 1,
     R"(13:14: error: this text is not closed on its line; write " where it ends; a text of several lines is a list: ["one", "two"] [not-json])"},
    {"a time without quotes", R"("from": "0:05")", R"("from": 0:05)", 1,
     R"(12:31: error: 0:05 is no number; write it in double quotes: "0:05" [not-json])"},
    {"a meter without quotes", R"("4/4")", "4/4", 1,
     R"(7:12: error: 4/4 is no number; write it in double quotes: "4/4" [not-json])"},
    {"a word without quotes", R"("key": "D")", R"("key": D)", 1,
     R"(6:10: error: 'D' is not expected here: text stands in double quotes; write "D" [not-json])"},
    {"True", R"("capo": 2)", R"("left_handed": True)", 1,
     "5:18: error: 'T' is not expected here; write true, in small letters and without quotes [not-json]"},
    {"yes in quotes", R"("capo": 2,)", R"("capo": 2, "left_handed": "yes",)", 1,
     R"(5:29: error: "left_handed" must be true or false, and this is a text; write true or false, without quotes [wrong-type])"},
    {"a meter as a number", R"("4/4")", "4", 1,
     R"(7:12: error: "meter" must be a text, and this is a number; write "4/4" [wrong-type])"},
    {"a meter with a colon", R"("4/4")", R"("4:4")", 1,
     R"(7:12: error: '4:4' is no meter: there is no / between beats and unit; write "4/4" [bad-value])"},
    {"a tempo with its unit", R"("tempo": 80)", R"("tempo": "80 bpm")", 1,
     R"(8:12: error: "tempo" must be a number, and this is a text; write the number alone, without quotes: 80 [wrong-type])"},
    {"a title that is a number", R"("My lesson")", "7", 1,
     R"(3:12: error: "title" must be a text, and this is a number; write it in double quotes: "7" [wrong-type])"},
    {"one cue for a list", R"("to": "0:04"})", R"("to": "0:04", "show": {"chord": "C", "from": "0:01"}})", 1,
     R"(11:63: error: "show" must be a list, and this is an object; write [ before it and ] after it [wrong-type])"},
    {"a key that stands twice", R"("capo": 2,)", "\"capo\": 2,\n  \"capo\": 3,", 1,
     R"(6:3: error: "capo" stands twice; line 5 says it first; keep one of them [duplicate-key])"},
    {"a part that ends before it begins", R"("from": "0:00", "to": "0:04")", R"("from": "0:04", "to": "0:01")", 1,
     R"(11:47: error: part 'Welcome' ends before it begins; let "to" come after "from" [no-length])"},
    {"a part outside of the film", R"("from": "0:05")", R"("from": "5:05")", 1,
     "12:5: error: at 5:05.0: part 'Verse' begins after the film's end at 0:59.600; take it out, or check which "
     "film the cues are for [outside-film]"},
    {"a time with a unit", R"("from": "0:05")", R"("from": "5s")", 1,
     R"(12:31: error: '5s' is no time; write "0:05" [bad-time])"},
    {"a time in letters", R"("from": "0:05")", R"("from": "0m05s")", 1,
     R"(12:31: error: '0m05s' is no time; write "0:05" [bad-time])"},
    {"a time with a comma", R"("from": "0:05")", R"("from": "0:05,5")", 1,
     R"(12:31: error: '0:05,5': write parts of a second after a full stop; write "0:05.5" [bad-time])"},
    {"a time with 75 seconds", R"("from": "0:05")", R"("from": "1:75")", 1,
     R"(12:31: error: '1:75': after a colon, minutes and seconds go from 00 to 59; write minutes and seconds, as in "1:35" [bad-time])"},
    {"a German chord", "Am |", "H7 |", 1,
     R"(13:23: error: at 0:11.0: chord name "H7": "H7" at position 1 is not understood; as a German name it is "B7" (and German B is "Bb"); correct the name, or write "names": "german" at the top of the file if all its names are so (B is B flat then) [unknown-chord])"},
    {"a chord in small letters", "Am |", "am |", 1,
     R"(13:23: error: at 0:11.0: chord name "am": "am" at position 1 is not understood; did you mean "Am"?; correct the name, or give it a shape in "shapes" [unknown-chord])"},
    {"a bar with too few beats", "C | G", "C / | G", 1,
     R"(13:15: error: bar 1 has 2 beats, and 4/4 wants 4; write "C / / /", or hold other chords with / [beats-in-bar])"},
    {"a misspelt placement", R"("capo": 2)", R"("capo": 2, "placement": "top right")", 1,
     R"(5:27: error: "placement" cannot be 'top right'; did you mean 'top-right'? [bad-value])"},
    {"a film that is not there", "lesson.mp4", "leson.mp4", 1,
     "4:14: error: the footage leson.mp4 is not there; did you mean 'lesson.mp4'?; name it relative to the cue file's "
     "folder [no-footage]"},
    {"two lessons in one file", "  ]\n}\n", "  ]\n}\n{}\n", 1,
     "16:1: error: the file goes on after the bracket that closes it; take out what follows that bracket, or the "
     "bracket [not-json]"},
};

TEST_F(Mistakes, InACueFileSayWhereAndWhatToDo)
{
    ASSERT_EQ(run({"check", "--quick", "lesson.json"}).out, "");
    for (Written const& mistake : kWritten) {
        SCOPED_TRACE(mistake.name);
        std::string text = kLesson;
        std::size_t const at = text.find(mistake.right);
        ASSERT_NE(at, std::string::npos);
        write_text(m_folder / "lesson.json", text.replace(at, std::string(mistake.right).size(), mistake.wrong));
        ProgramRun const checked = run({"check", "--quick", "lesson.json"});
        EXPECT_EQ(checked.exit, mistake.exit);
        EXPECT_THAT(lines(checked.out), Contains(std::string("lesson.json:") + mistake.says));
    }
}

struct Typed {
    std::vector<std::string> words;
    int exit;
    char const* says; ///< the first line on standard error
};

TEST_F(Mistakes, OnTheCommandLineSayWhatToTypeInstead)
{
    std::vector<Typed> const typed{
        {{"chek", "lesson.json"}, 2, "tabard: there is no command 'chek'; did you mean 'tabard check'?"},
        {{"rendr", "lesson.json"}, 2, "tabard: there is no command 'rendr'; did you mean 'tabard render'?"},
        {{"lesson.json"},
         2,
         "tabard: there is no command 'lesson.json'; a command comes first, as in: tabard check lesson.json"},
        {{"lesson.mp4"},
         2,
         "tabard: there is no command 'lesson.mp4'; a command comes first, as in: tabard start lesson.mp4"},
        {{"--hlep"}, 2, "tabard: 'tabard' has no option '--hlep'; did you mean '--help'?"},
        {{"-q"}, 2, "tabard: a command is missing; for example: tabard check lesson.json"},
        {{"check"}, 2, "tabard: CUES (the cue file) is missing; for example: tabard check lesson.json"},
        {{"render", "lesson.json"},
         2,
         "tabard: --output is missing; for example: tabard render lesson.json -o film.mp4"},
        {{"render", "lesson.json", "-o"},
         2,
         "tabard: --output needs a value behind it; for example: tabard render lesson.json -o film.mp4"},
        {{"render", "lesson.json", "--ouput", "film.mp4"},
         2,
         "tabard: 'tabard render' has no option '--ouput'; did you mean '--output'?"},
        {{"render", "lesson.json", "-jobs", "2", "-o", "film.mp4"},
         2,
         "tabard: 'tabard render' has no option '-jobs'; did you mean '--jobs'?"},
        {{"render", "lesson.json", "–draft", "-o", "film.mp4"},
         2,
         "tabard: 'tabard render' has no option '–draft'; did you mean '--draft'?"},
        {{"render", "lesson.json", "film.mp4"},
         2,
         "tabard: 'film.mp4' is one word too many for 'tabard render'; write -o film.mp4 for the file to write"},
        {{"check", "my", "lesson.json"}, 2, R"(tabard: a name with spaces stands in quotes: "my lesson.json")"},
        {{"start", "lesson.mp4", "-o", "x.json", "extra"},
         2,
         "tabard: 'extra' is one word too many for 'tabard start'; put a name with spaces in quotes"},
        {{"check", "lesson.json", "--format"},
         2,
         "tabard: --format needs a value behind it; for example: tabard check lesson.json --strict --format sarif > "
         "findings.sarif"},
        {{"check", "lesson.json", "--format", "xml"}, 2, "tabard: --format cannot be 'xml'; write gnu, json or sarif"},
        {{"render", "lesson.json", "--jobs", "two", "-o", "film.mp4"},
         2,
         "tabard: --jobs cannot be 'two'; write a whole number from 1 to 1024"},
        {{"sheet", "lesson.json", "--paper", "a5", "-o", "sheet.pdf"},
         2,
         "tabard: --paper cannot be 'a5'; write a4 or letter"},
        {{"sheet", "lesson.json", "-o", "sheet.doc"},
         2,
         "tabard: --output cannot be 'sheet.doc': a sheet is a .pdf, .svg or .png file"},
        {{"render", "lesson.json", "-o", "film.avi"},
         2,
         "tabard: film.avi: a film's name must end in .mp4, .mov, .mkv or .webm"},
        {{"still", "lesson.json", "--at", "0:01", "-o", "picture.gif"},
         2,
         "tabard: --output cannot be 'picture.gif': a still is a .png file"},
        {{"still", "lesson.json", "--at", "later", "-o", "picture.png"},
         2,
         "tabard: --at: 'later' is no time; write 1:02:03.5, 2:03.5 or seconds"},
        {{"check", "leson.json"},
         3,
         "tabard: cannot read 'leson.json': No such file or directory; did you mean 'lesson.json'?"},
        {{"check", "lesson.jsn"},
         3,
         "tabard: cannot read 'lesson.jsn': No such file or directory; did you mean 'lesson.json'?"},
        {{"check", "parts/lesson.json"},
         3,
         "tabard: cannot read 'parts/lesson.json': No such file or directory; there is no folder 'parts'"},
        {{"check", "."}, 3, "tabard: cannot read '.': it is a folder; name a file in it"},
        {{"start", "leson.mp4"},
         3,
         "tabard: leson.mp4: cannot open: No such file or directory; did you mean 'lesson.mp4'?"},
        {{"check", "--explain", "beats-in-ba"},
         2,
         "tabard: no finding has the code 'beats-in-ba'; did you mean 'beats-in-bar'?"},
        {{"chord", "H7"},
         3,
         R"(tabard: chord name "H7": "H7" at position 1 is not understood; as a German name it is "B7" (and German B is "Bb"))"},
    };
    for (Typed const& mistake : typed) {
        SCOPED_TRACE(testing::PrintToString(mistake.words));
        ProgramRun const answer = run(mistake.words);
        EXPECT_EQ(answer.exit, mistake.exit);
        EXPECT_EQ(answer.out, "");
        ASSERT_FALSE(answer.err.empty());
        EXPECT_EQ(lines(answer.err).front(), mistake.says);
    }
}

struct File {
    char const* name;
    std::string bytes;
    char const* says;
};

TEST_F(Mistakes, OfTheWholeFileSayWhatItIs)
{
    std::string utf16 = "\xFF\xFE"; // as some editors save "Unicode"
    for (char const* sign = kLesson; *sign != '\0'; ++sign)
        utf16 += {*sign, '\0'};
    for (File const& file : {
             File{"nothing", "",
                  "1:1: error: the file is empty; `tabard start FILM -o lesson.json` writes a cue file to begin with "
                  "[not-json]"},
             File{"blank lines", "\n\n",
                  "3:1: error: the file is empty; `tabard start FILM -o lesson.json` writes a cue file to begin with "
                  "[not-json]"},
             File{"UTF-16", utf16,
                  "1:1: error: the file is not written in UTF-8, most likely in UTF-16; save it as UTF-8 text "
                  "[not-json]"},
             File{"Latin-1",
                  "{\n  \"title\": \"\xDC"
                  "bung\"\n}\n",
                  "2:13: error: this character is not written in UTF-8; save the file as UTF-8 [not-json]"},
             File{"a film", read_text(m_folder / "lesson.mp4"),
                  "1:1: error: this file is no text: it may be a film, a sound or a picture; give the text file in "
                  "JSON that belongs here [not-json]"},
             File{"a letter", "Dear pupil,\n",
                  "1:1: error: 'D' is not expected here: JSON begins with {; give a JSON file, or write { at its "
                  "beginning [not-json]"},
             File{"a list of parts", "[{\"name\": \"Verse\"}]\n",
                  "1:1: error: a cue file must be an object, and this is a list; write it in braces: { \"key\": value "
                  "} [wrong-type]"},
         }) {
        SCOPED_TRACE(file.name);
        write_text(m_folder / "lesson.json", file.bytes);
        ProgramRun const checked = run({"check", "--quick", "lesson.json"});
        EXPECT_EQ(checked.exit, 1);
        EXPECT_THAT(lines(checked.out), Contains(std::string("lesson.json:") + file.says));
    }
    // A byte order mark is none: RFC 8259, section 8.1 lets readers pass over it.
    write_text(m_folder / "lesson.json", std::string("\xEF\xBB\xBF") + kLesson);
    EXPECT_EQ(run({"check", "--quick", "lesson.json"}).out, "");
}

// Seconds are a way to write times, and mean what they say where nothing speaks against it.
TEST_F(Mistakes, AreNotSeenInTimesThatAreMeantAsSeconds)
{
    for (char const* from : {"5.35", "5.5", "5.75", "12.05", "5", "\"5.35\""}) {
        SCOPED_TRACE(from);
        std::string text = kLesson;
        text.replace(text.find("\"0:05\""), 6, from);
        write_text(m_folder / "lesson.json", text);
        EXPECT_EQ(run({"check", "--quick", "lesson.json"}).out, "");
    }
}

/// What `check` shows on a terminal of so many columns; lines end as the terminal driver ends them (POSIX ONLCR).
std::string shown_on_terminal(std::string const& lesson, int columns, char const* colours)
{
    ProgramRun const run = run_on_terminal({"env", "-u", "NO_COLOR", colours, "COLUMNS=" + std::to_string(columns),
                                            "LC_ALL=C.UTF-8", TABARD_PROGRAM, "-q", "check", "--quick", lesson});
    return std::regex_replace(run.out, std::regex{"\r\n"}, "\n");
}

// Widths counted by hand: the line and its mark share their columns, and no line is wider than the terminal.
TEST_F(Mistakes, OnATerminalShowTheLineWithAMarkUnderThePlace)
{
    std::string const lesson = m_folder / "l.json";
    write_text(lesson, "{\n  \"title\": \"\u00dcbung \u4e00\", \"capo\": \"2nd fret\"\n}\n");
    std::string const shown = shown_on_terminal(lesson, 70, "NO_COLOR=1");
    EXPECT_THAT(shown, testing::HasSubstr(lesson + ":2:34: error:"));
    EXPECT_THAT(shown, testing::HasSubstr("\n   2 |   \"title\": \"\u00dcbung \u4e00\", \"capo\": \"2nd fret\"\n"
                                          "                                      ^\n"
                                          "    write the number alone, without quotes: 2 [wrong-type]\n"));
    for (std::string const& line : lines(shown))
        if (!line.starts_with(lesson)) {         // the place stays in one piece, for terminals that open it
            EXPECT_LE(line.size(), 74U) << line; // 70 columns, two bytes more for each sign outside of ASCII
        }
    EXPECT_EQ(shown.find('\x1B'), std::string::npos);
    // ECMA-48 SGR: bold red for an error.
    EXPECT_THAT(shown_on_terminal(lesson, 70, "TERM=xterm"), testing::HasSubstr("\x1B[1;31merror:\x1B[0m"));
}

TEST_F(Mistakes, InALongLineShowWhatStandsAroundThem)
{
    std::string bars = "C";
    for (int i = 0; i < 200; ++i)
        bars += " | C";
    std::string text = kLesson;
    text.replace(text.find("C | G | Am | F"), 14, bars + " | C C C | G");
    write_text(m_folder / "lesson.json", text);
    auto const shown = lines(shown_on_terminal(m_folder / "lesson.json", 60, "NO_COLOR=1"));
    auto const source = std::ranges::find_if(shown, [](auto const& line) { return line.starts_with("  13 | \u2026"); });
    ASSERT_NE(source, shown.end());
    std::string const& mark = *(source + 1);
    ASSERT_TRUE(mark.ends_with(" ^")) << mark;
    // The ellipsis takes three bytes and one column.
    EXPECT_EQ(source->substr(mark.size() - 1 + 2, 7), "C C C |");
    EXPECT_LE(source->size(), 60U + 4);
}

// A script whose variable is empty must not go on as if something had been done.
TEST_F(Mistakes, ThatLeaveOutTheCommandAreAnsweredByTheHelp)
{
    ProgramRun const bare = run({});
    EXPECT_EQ(bare.exit, 2);
    EXPECT_EQ(bare.out, "");
    EXPECT_EQ(bare.err, run({"--help"}).out);
    EXPECT_EQ(run({"help", "sheet"}).out, run({"sheet", "--help"}).out);
}

} // namespace
} // namespace tabard::tests
