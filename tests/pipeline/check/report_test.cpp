#include "pipeline/check/picture/picture_facts.h"
#include "pipeline/check/report/html.h"
#include "pipeline/check/report/report.h"
#include "pipeline/check/report/thumbnails.h"
#include "pipeline/cues/reader.h"
#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <cstdlib>
#include <filesystem>
#include <functional>
#include <regex>
#include <span>
#include <string>
#include <string_view>
#include <utility>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace tabard::pipeline {
namespace {

using testing::HasSubstr;
using testing::Not;
using testing::StartsWith;

// The test vectors of RFC 4648, section 10.
TEST(Base64, IsThatOfTheRfc)
{
    auto const coded = [](std::string_view text) { return base64(std::as_bytes(std::span{text.data(), text.size()})); };
    EXPECT_EQ(coded(""), "");
    EXPECT_EQ(coded("f"), "Zg==");
    EXPECT_EQ(coded("fo"), "Zm8=");
    EXPECT_EQ(coded("foo"), "Zm9v");
    EXPECT_EQ(coded("foob"), "Zm9vYg==");
    EXPECT_EQ(coded("fooba"), "Zm9vYmE=");
    EXPECT_EQ(coded("foobar"), "Zm9vYmFy");
}

struct Report {
    Lesson lesson = *parse_lesson(R"({"tabard": 1, "title": "Rain & <Sun>", "footage": "x.mp4", "sections": [
        {"name": "Talk", "from": "0:00", "to": "0:20", "show": [{"chord": "C", "from": "0:02"}, {"text": "a \"b\"", "from": "0:05"}]},
        {"name": "Song", "from": "0:30", "to": "0:46", "tempo": 60, "bars": "C | G/B | Am | N.C."}]})",
                                  "lesson.json")
                         .lesson;
    Timeline timeline = Timeline::resolve(lesson, {{}, from_seconds(70), {25, 1}});
    CheckResult result;
    std::filesystem::path file = "lesson.json";

    Report()
    {
        Finding const brief{Severity::warning,        "brief",      {3, 5}, from_seconds(2),
                            "the chord <C> is short", "let it stay"};
        result.findings = {{brief, 3, "Talk"}, {{Severity::error, "no-footage", {1, 2}, {}, "no film", ""}, 0, ""}};
        result.warnings = 1;
        result.errors = 1;
        result.accepted = {{brief, "because & so"}};
    }
    std::string html(std::function<std::string(Time)> picture = {}) const
    {
        return report_html({result, file, &lesson, &timeline, std::move(picture)});
    }
};

std::ptrdiff_t count(std::string const& text, std::string const& what)
{
    std::regex const pattern{what};
    return std::distance(std::sregex_iterator{text.begin(), text.end(), pattern}, std::sregex_iterator{});
}

TEST(Report, ShowsEachSectionChordAndFindingOfTheFilm)
{
    auto const html = Report{}.html();
    EXPECT_EQ(count(html, "<svg "), 3); // 70 s in lines of 30 s

    EXPECT_THAT(html, HasSubstr(">G/B</text>"));
    EXPECT_THAT(html, HasSubstr("href=\"#finding-1\" class=\"mark warning\""));
    EXPECT_EQ(count(html, "<article id=\"finding-[0-9]+\""), 2);
    EXPECT_THAT(html, HasSubstr("lesson.json:3:5"));
    EXPECT_THAT(html, HasSubstr("and 3 more like it"));
}

// A wrong "made_for" or "to" makes a film of a year; its picture must still be one to look at.
TEST(Report, HasAtMostSixtyLinesHoweverLongTheFilmClaimsToBe)
{
    Report report;
    for (double const seconds : {7'200.0, 36'000'000.0}) {
        report.timeline = Timeline::resolve(report.lesson, {{}, from_seconds(seconds), {25, 1}});
        EXPECT_LE(count(report.html(), "<svg "), 61) << seconds;
        EXPECT_GE(count(report.html(), "<svg "), 60) << seconds;
    }
}

TEST(Report, NeedsNothingButItself)
{
    auto const html = Report{}.html([](Time) { return "data:image/png;base64,AAAA"; });
    EXPECT_THAT(html, HasSubstr("default-src 'none'"));
    EXPECT_EQ(count(html, "<(script|link|iframe|object)"), 0);
    EXPECT_EQ(count(html, "(src|href)=\"(?!data:|#)"), 0);
    EXPECT_EQ(count(html, "url\\("), 0);
    EXPECT_EQ(count(html, "<img src=\"data:image/png;base64,AAAA\" alt=\"The film at 0:02.0\">"), 1);
}

TEST(Report, EscapesWhatAuthorsWrite)
{
    auto const html = Report{}.html();
    EXPECT_THAT(html, HasSubstr("<title>Findings: Rain &amp; &lt;Sun&gt;</title>"));
    EXPECT_THAT(html, HasSubstr("the chord &lt;C&gt; is short"));
    EXPECT_THAT(html, HasSubstr("because &amp; so"));
    EXPECT_THAT(html, Not(HasSubstr("<Sun>")));
}

// Headless Chromium (Debian's) prints the page; poppler's pdftotext reads the print.
TEST(Report, PrintsFromABrowserWithEveryFindingOnPaper)
{
    if (std::system("command -v chromium-headless-shell pdftotext >/dev/null") != 0)
        GTEST_SKIP() << "needs chromium-headless-shell and pdftotext: run tests/setup";
    tests::TemporaryFolder const folder;
    tests::write_text(folder / "report.html", Report{}.html());
    auto const printed = tests::run_program({"chromium-headless-shell", "--no-sandbox", "--disable-gpu",
                                             "--print-to-pdf=" + (folder / "report.pdf").string(),
                                             "file://" + (folder / "report.html").string()});
    ASSERT_EQ(printed.exit, 0) << printed.err;
    auto const text = tests::run_program({"pdftotext", "-layout", folder / "report.pdf", "-"}).out;
    for (auto const* const part : {"Rain & <Sun>", "the chord <C> is short", "To fix it: let it stay", "no film", "G/B",
                                   "lesson.json:3:5", "because & so"})
        EXPECT_THAT(text, HasSubstr(part));
}

/// The blank paper beside the pictures of four findings: how much higher than its text an article is, in CSS pixels on
/// average, as headless Chromium (Debian's) lays the page out.
double blank_beside(SizePx picture, bool upright)
{
    Report report;
    report.result.findings.resize(1);
    report.result.findings[0].finding.what = "in 'The shapes' the overlays hide 64 % of a face";
    report.result.findings[0].finding.fix = "write \"placement\": \"bottom-left\" in the cue file";
    for (int i = 0; i < 3; ++i)
        report.result.findings.push_back(report.result.findings[0]);
    auto const image = fmt::format("data:image/svg+xml,&lt;svg xmlns=%22http://www.w3.org/2000/svg%22 width=%22{}%22 "
                                   "height=%22{}%22/&gt;",
                                   picture.width, picture.height);
    auto html = report_html(
        {report.result, report.file, &report.lesson, &report.timeline, [&](Time) { return image; }, upright});
    // The page allows no scripts: the test takes that away and asks for the sizes.
    html = std::regex_replace(html, std::regex{"<meta http-equiv[^>]*>"}, "");
    html +=
        "<script>addEventListener('load', () => { let blank = 0, all = document.querySelectorAll('article');"
        "for (const a of all) { const text = [...a.querySelectorAll('p')].reduce((h, p) => h + p.offsetHeight + 8, "
        "0); blank += Math.max(0, a.querySelector('img').offsetHeight - text); }"
        "document.title = 'blank:' + blank / all.length + ':' + all[0].querySelector('img').offsetWidth; });</script>";
    tests::TemporaryFolder const folder;
    tests::write_text(folder / "report.html", html);
    auto const page =
        tests::run_program({"chromium-headless-shell", "--no-sandbox", "--disable-gpu", "--window-size=1100,900",
                            "--dump-dom", "file://" + (folder / "report.html").string()});
    std::smatch said;
    EXPECT_TRUE(std::regex_search(page.out, said, std::regex{"<title>blank:([0-9.]+):([0-9]+)</title>"})) << page.err;
    return said.empty() ? 1e9 : std::stod(said[1]);
}

TEST(Report, LeavesNoBlankPaperBesideUprightPictures)
{
    if (std::system("command -v chromium-headless-shell >/dev/null") != 0)
        GTEST_SKIP() << "needs chromium-headless-shell: run tests/setup";
    EXPECT_LT(blank_beside({400, 226}, false), 90);
    EXPECT_LT(blank_beside({400, 400}, false), 150);
    EXPECT_LT(blank_beside({226, 400}, true), 120);
}

TEST(Report, StandsWithoutATimelineToo)
{
    Report report;
    auto const html = report_html({report.result, report.file});
    EXPECT_THAT(html, HasSubstr("<h1>lesson.json</h1>"));
    EXPECT_THAT(html, Not(HasSubstr("<svg")));
    report.lesson.title = {};
    EXPECT_THAT(report.html(), HasSubstr("<h1>lesson.json</h1>")) << "a lesson without a title";
}

TEST(Thumbnails, AreSmallPicturesOfTheDemoFilmWithItsOverlays)
{
    auto const folder = tests::source_folder() / "sample_media";
    auto const reading = read_lesson(folder / "lantern.json");
    ASSERT_TRUE(reading && reading->usable());
    auto const timeline = Timeline::resolve(*reading->lesson, {{}, from_seconds(59.6), {25, 1}});
    auto const stage = stage_of(*reading->lesson, {1280, 720});
    auto thumbnails = Thumbnails::open(folder / "lantern.mp4", timeline, stage, overlay::default_theme());
    ASSERT_TRUE(thumbnails);
    auto const with_chord = thumbnails->at(from_seconds(20));
    EXPECT_THAT(with_chord, StartsWith("data:image/png;base64,iVBORw0KGgo")); // the PNG signature (PNG, section 5.2)
    EXPECT_LT(with_chord.size(), 250'000U);
    EXPECT_GT(with_chord.size(), 20'000U);
    EXPECT_EQ(thumbnails->at(from_seconds(20)), with_chord);
    EXPECT_NE(thumbnails->at(from_seconds(14)), with_chord);
}

} // namespace
} // namespace tabard::pipeline
