#include "overlay/sheet/sheet.h"
#include "tests/overlay/sheet/samples.h"
#include "tests/support/pictures.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <fstream>
#include <regex>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>

// Sheets are judged from outside: by Poppler's, qpdf's and ZBar's programs, and by OpenCV on the 150 dots an inch
// picture.
namespace tabard::overlay {
namespace {

using testing::HasSubstr;
using tests::run_program;
using tests::TemporaryFolder;

std::filesystem::path written(TemporaryFolder const& folder, char const* name, SheetFile const& file)
{
    std::ofstream(folder / name, std::ios::binary)
        .write(reinterpret_cast<char const*>(file.data()), static_cast<std::streamsize>(file.size()));
    return folder / name;
}

/// A PDF on disk and what Poppler says about it.
struct Pdf {
    TemporaryFolder folder;
    std::filesystem::path path;

    explicit Pdf(SheetModel const& model, SheetOptions const& options = {})
        : path(written(folder, "sheet.pdf", draw_sheet(model, options, SheetFormat::pdf)->front()))
    {
    }
    std::string ask(std::vector<std::string> words) const
    {
        words.push_back(path);
        if (words.front() == "pdftotext")
            words.push_back("-");
        return run_program(words).out;
    }
    std::string text_without_spaces() const
    {
        return std::regex_replace(ask({"pdftotext", "-raw"}), std::regex("\\s+"), "");
    }
};

SheetOptions on(Paper paper, bool large = false)
{
    SheetOptions options;
    options.paper = paper;
    options.large_print = large;
    return options;
}

std::vector<cv::Mat> grey_pages(SheetModel const& model, SheetOptions const& options = {})
{
    TemporaryFolder const folder;
    std::vector<cv::Mat> pages;
    auto const files = draw_sheet(model, options, SheetFormat::png).value();
    for (auto const& file : files) {
        Bitmap const bitmap = tests::read_png(written(folder, "page.png", file));
        cv::Mat page(bitmap.at.height, bitmap.at.width, CV_8UC1);
        std::ranges::transform(bitmap.pixels, page.begin<unsigned char>(),
                               [](std::uint32_t pixel) { return static_cast<unsigned char>(pixel & 0xFF); });
        pages.push_back(page);
    }
    return pages;
}

TEST(Sheet, IsExactlyTheSizeOfItsPaper)
{
    // ISO 216: A4 is 210 x 297 mm; letter is 8.5 x 11 inches; PDF counts in 1/72 inch (ISO 32000-1, 8.3).
    EXPECT_THAT(Pdf(samples::lantern_sheet(), on(Paper::a4)).ask({"pdfinfo"}), HasSubstr("595.276 x 841.89 pts (A4)"));
    EXPECT_THAT(Pdf(samples::lantern_sheet(), on(Paper::letter)).ask({"pdfinfo"}), HasSubstr("612 x 792 pts (letter)"));
}

/// The number that an SVG's first attribute of this name has.
double svg_length(SheetFile const& svg, std::string const& name)
{
    std::string const text(reinterpret_cast<char const*>(svg.data()), svg.size());
    std::smatch found;
    EXPECT_TRUE(std::regex_search(text, found, std::regex(name + "=\"([0-9.]+)")));
    return found.empty() ? 0 : std::stod(found[1]);
}

SheetPart plain_bars(std::size_t count)
{
    SheetPart part;
    part.name = "Not to be seen";
    part.words = {"Not to be sung"};
    part.bars.assign(count, SheetBar{{{{"C", "", ""}, 4, false}}, false, false, 0});
    return part;
}

// Four bars make a row.
TEST(Sheet, BarsAloneAreAsTallAsTheirRows)
{
    auto const height = [](std::size_t bars) { return svg_length(*draw_bars(plain_bars(bars), {}), "height"); };
    EXPECT_EQ(height(1), height(4));
    double const row = height(5) - height(4);
    EXPECT_GT(row, 20);
    EXPECT_NEAR(height(12) - height(5), row, 0.01);
    std::string const text(reinterpret_cast<char const*>(draw_bars(plain_bars(1), {})->data()), 200);
    EXPECT_THAT(text, HasSubstr("<svg"));
}

TEST(Sheet, IsASoundPdfWithTitleTagsAndDate)
{
    SheetOptions options;
    options.made = "2026-05-01T12:30:00Z";
    Pdf const pdf(samples::lantern_sheet(), options);
    auto const check = run_program({"qpdf", "--check", pdf.path});
    EXPECT_EQ(check.exit, 0) << check.out << check.err;
    auto const info = run_program({"pdfinfo", "-isodates", pdf.path}).out;
    EXPECT_THAT(info, HasSubstr("Lantern on the Quay"));
    EXPECT_THAT(info, testing::ContainsRegex("Tagged: +yes"));
    EXPECT_THAT(info, HasSubstr("2026-05-01T12:30:00"));
    EXPECT_THAT(pdf.ask({"pdfinfo", "-struct"}), HasSubstr("H1"));
}

TEST(Sheet, EmbedsEveryFontWithAUnicodeMap)
{
    for (auto const& paper : {on(Paper::a4), on(Paper::a4, true)}) {
        std::istringstream table(Pdf(samples::lantern_sheet(), paper).ask({"pdffonts"}));
        std::string line;
        int fonts = -2; // two lines of heading
        while (std::getline(table, line))
            if (++fonts > 0) {
                EXPECT_THAT(line, testing::ContainsRegex("yes yes yes +[0-9]+ +[0-9]+$")) << line;
            }
        EXPECT_GE(fonts, 3);
    }
}

TEST(Sheet, SaysEveryChordNameWithItsRealSigns)
{
    auto const text = Pdf(samples::lantern_sheet()).text_without_spaces();
    for (char const* name :
         {"C", "G/B", "Am7", "F\u266Fm7\u266D5", "Em", "Am", "B/D\u266F", "C\u266Fm7", "A\u266Fm7\u266D5"})
        EXPECT_THAT(text, HasSubstr(name));
}

TEST(Sheet, SaysWhereTheCapoGoesAndBothKeys)
{
    EXPECT_THAT(Pdf(samples::lantern_sheet()).ask({"pdftotext"}),
                HasSubstr("Capo on the 4th fret. The shapes are in C, the song sounds in E."));
}

TEST(Sheet, KeepsEveryWordInsideMarginsOfTwelveMillimetres)
{
    double const margin = 12 / 25.4 * 72;
    for (auto const& options : {on(Paper::a4), on(Paper::letter), on(Paper::a4, true), on(Paper::letter, true)}) {
        auto model = samples::lantern_sheet();
        model.title = std::string(200, 'W'); // wider than any page
        model.parts[0].name = std::string(90, 'M');
        auto const boxes = Pdf(model, options).ask({"pdftotext", "-bbox"});
        std::regex const page(R"re(<page width="([0-9.]+)" height="([0-9.]+)">)re");
        std::smatch size;
        ASSERT_TRUE(std::regex_search(boxes, size, page));
        double const width = std::stod(size[1]);
        double const height = std::stod(size[2]);
        std::regex const word(R"re(xMin="([-0-9.]+)" yMin="([-0-9.]+)" xMax="([-0-9.]+)" yMax="([-0-9.]+)">([^<]*))re");
        int words = 0;
        for (std::sregex_iterator it(boxes.begin(), boxes.end(), word), end; it != end; ++it, ++words) {
            EXPECT_GE(std::stod((*it)[1]), margin - 0.5) << (*it)[5];
            EXPECT_LE(std::stod((*it)[3]), width - margin + 0.5) << (*it)[5];
            // The box of a word has room above for accents and below for descenders that it need not use.
            double const slack = 0.3 * (std::stod((*it)[4]) - std::stod((*it)[2]));
            EXPECT_GE(std::stod((*it)[2]), margin - slack) << (*it)[5];
            EXPECT_LE(std::stod((*it)[4]), height - margin + slack) << (*it)[5];
        }
        EXPECT_GT(words, 60);
    }
}

TEST(Sheet, LeavesMarginsFreeOfInkOfAnyKind)
{
    for (auto const& options : {on(Paper::a4), on(Paper::letter, true)})
        for (cv::Mat const& page : grey_pages(samples::lantern_sheet(), options)) {
            cv::Rect const ink = cv::boundingRect(page < 200);
            int const margin = 12 * 150 * 10 / 254; // whole pixels of 12 mm at 150 dots an inch
            EXPECT_GE(ink.x, margin - 1);
            EXPECT_GE(ink.y, margin - 1);
            EXPECT_LE(ink.br().x, page.cols - margin + 1);
            EXPECT_LE(ink.br().y, page.rows - margin + 1);
        }
}

/// The size of the smallest word in points, from the height of its box against that of the title's, which is set in
/// `title` points.
double smallest_size(Pdf const& pdf, double title)
{
    auto const boxes = pdf.ask({"pdftotext", "-bbox"});
    std::regex const word(R"re(yMin="([-0-9.]+)" xMax="[-0-9.]+" yMax="([-0-9.]+)">([^<]*))re");
    double smallest = 1000;
    double title_height = 0;
    for (std::sregex_iterator it(boxes.begin(), boxes.end(), word), end; it != end; ++it) {
        double const height = std::stod((*it)[2]) - std::stod((*it)[1]);
        smallest = std::min(smallest, height);
        if ((*it)[3] == "Lantern" && title_height == 0)
            title_height = height;
    }
    return smallest / title_height * title;
}

TEST(Sheet, SetsNothingBelowNinePointsNorBelowEighteenInLargePrint)
{
    // The boxes of the accidentals' face, DejaVu Sans, are 0.962 times as high as Inter's (1.164 and 1.210 em).
    double const normal = smallest_size(Pdf(samples::lantern_sheet()), 27);
    EXPECT_GE(normal, 9 * 0.961);
    EXPECT_LE(normal, 9.05);
    double const large = smallest_size(Pdf(samples::lantern_sheet(), on(Paper::a4, true)), 34);
    EXPECT_GE(large, 18 * 0.961);
    EXPECT_LE(large, 18.1);
}

/// Round solid spots of the size of a finger's dot in the first diagram: what is left when thinner ink is eroded away.
int solid_spots(cv::Mat const& page)
{
    auto const dots = [](double points) { return static_cast<int>(points * 150 / 72); };
    cv::Mat ink = page(cv::Rect(dots(30), dots(128), dots(100), dots(110))) < 128;
    auto const square = [](int side) { return cv::getStructuringElement(cv::MORPH_RECT, {side, side}); };
    cv::morphologyEx(ink, ink, cv::MORPH_CLOSE, square(5)); // fills the number on a dot
    cv::erode(ink, ink, square(11));
    cv::Mat labels;
    return cv::connectedComponents(ink, labels) - 1;
}

TEST(Sheet, HasAsManyDotsInADiagramAsTheShapeHasFrettedStrings)
{
    for (Shape const& shape :
         {samples::kC, samples::kGOverB, samples::kAm7, samples::kFsharpM7Flat5,
          Shape{{0, 0, 0, 0, 0, 0}, {0, 0, 0, 0, 0, 0}}, Shape{{3, 3, 2, 0, 1, 0}, {3, 4, 2, 0, 1, 0}}}) {
        SCOPED_TRACE(shape.frets_text());
        SheetModel model;
        model.title = "One shape";
        model.chords = {{label_of("C"), {{shape, ""}}}};
        int const fretted = static_cast<int>(std::ranges::count_if(shape.frets, [](int fret) { return fret > 0; }));
        EXPECT_EQ(solid_spots(grey_pages(model).front()), fretted);
    }
}

TEST(Sheet, DrawsABarreAsOneBar)
{
    SheetModel model;
    model.title = "One shape";
    model.chords = {{label_of("F"), {{samples::kFullF, ""}}}};
    EXPECT_EQ(solid_spots(grey_pages(model).front()), 4); // fingers 1 to 4
}

TEST(Sheet, CarriesTheLinkAsACodeThatACameraReads)
{
    auto long_link = samples::lantern_sheet();
    long_link.link += "?" + std::string(300, 'q');
    for (auto const& model : {samples::lantern_sheet(), long_link})
        for (auto const& options : {on(Paper::a4)}) {
            TemporaryFolder const folder;
            auto const page = written(folder, "page.png", draw_sheet(model, options, SheetFormat::png)->front());
            EXPECT_EQ(run_program({"zbarimg", "-q", "--raw", page}).out, model.link + "\n"); // ZBar reads QR codes
        }
}

TEST(Sheet, LinksOnlyToWebAndMailAddresses)
{
    auto const urls = [](std::string const& link) {
        auto model = samples::lantern_sheet();
        model.link = link;
        return Pdf(model).ask({"pdfinfo", "-url"}); // Poppler lists the links
    };
    EXPECT_THAT(urls("https://example.org/it's?a=1"), HasSubstr("https://example.org/it's?a=1"));
    for (char const* link : {"javascript:app.alert(1)", "file:///etc/passwd", "https://x' rect=[0 0 9 9]"}) {
        auto model = samples::lantern_sheet();
        model.link = link;
        Pdf const pdf(model);
        EXPECT_THAT(urls(link), testing::Not(HasSubstr("URI"))) << link;
        EXPECT_EQ(run_program({"qpdf", "--check", pdf.path}).exit, 0);
        EXPECT_THAT(pdf.ask({"pdftotext"}), HasSubstr(std::string{link}.substr(0, 8))); // as text it is there
    }
}

TEST(Sheet, RefusesALinkThatNoCodeHolds)
{
    auto model = samples::lantern_sheet();
    model.link = "https://example.org/" + std::string(3000, 'q');
    auto const sheet = draw_sheet(model, {}, SheetFormat::pdf);
    ASSERT_FALSE(sheet);
    EXPECT_THAT(sheet.error().what, HasSubstr("link"));
}

TEST(Sheet, IsTheSameBytesForTheSameInput)
{
    for (auto const format : {SheetFormat::pdf, SheetFormat::png})
        EXPECT_TRUE(*draw_sheet(samples::lantern_sheet(), {}, format) ==
                    *draw_sheet(samples::lantern_sheet(), {}, format));
}

TEST(Sheet, MirrorsDiagramsForTheLeftHandedAndNothingElse)
{
    SheetModel model;
    model.title = "One shape";
    model.chords = {{label_of("C"), {{samples::kC, ""}}}};
    SheetOptions left;
    left.left_handed = true;
    EXPECT_EQ(solid_spots(grey_pages(model, left).front()), 3);
    EXPECT_NE(*draw_sheet(model, {}, SheetFormat::png), *draw_sheet(model, left, SheetFormat::png));
    EXPECT_EQ(Pdf(model).text_without_spaces().size(), Pdf(model, left).text_without_spaces().size());
}

/// The middles of a page's slashes in points from its corner: no other lines are so thick and oblique.
std::vector<cv::Point2d> slashes(SheetModel const& model)
{
    auto const file = draw_sheet(model, {}, SheetFormat::svg)->front();
    std::string const svg(reinterpret_cast<char const*>(file.data()), file.size());
    std::regex const path(
        R"re(<path[^>]*stroke-width[:=]"?1\.1[^0-9][^>]*d="M ([-0-9.]+) ([-0-9.]+) L ([-0-9.]+) ([-0-9.]+) *")re");
    std::vector<cv::Point2d> middles;
    for (std::sregex_iterator it(svg.begin(), svg.end(), path), end; it != end; ++it)
        middles.push_back(
            {(std::stod((*it)[1]) + std::stod((*it)[3])) / 2, (std::stod((*it)[2]) + std::stod((*it)[4])) / 2});
    return middles;
}

// A chord that shares its bar has a slash for each beat that it goes on for: beats less one, none for N.C. in a bar of
// its own. In 6/8 a bar has two pulses, and slashes stand for eighths only where a chord changes between them.
TEST(Sheet, PrintsASlashForEachBeatHoweverLongTheNames)
{
    struct Case {
        std::vector<std::pair<char const*, int>> chords;
        Meter meter;
        std::size_t slashes;
    };
    for (auto const& [chords, meter, count] : {Case{{{"Am7", 2}, {"G/B", 2}}, {4, 4}, 2},
                                               {{{"C", 1}, {"F#m7b5/E", 3}}, {4, 4}, 2},
                                               {{{"C#m7b5/G#", 2}, {"F#maj7#11/A#", 2}}, {4, 4}, 2},
                                               {{{"C", 3}, {"G", 1}}, {4, 4}, 2},
                                               {{{"C", 4}}, {4, 4}, 0},
                                               {{{"F", 3}, {"C", 3}}, {6, 8}, 0},
                                               {{{"F", 2}, {"C", 4}}, {6, 8}, 4},
                                               {{{"F", 6}, {"C", 6}}, {12, 8}, 2},
                                               {{{"D", 3}, {"A", 2}}, {5, 4}, 3}}) {
        SCOPED_TRACE(chords.back().first);
        SheetModel model;
        model.title = "One bar";
        SheetPart part{"Verse", "", meter, "", "", "", {}, {}};
        part.bars = {samples::bar(chords)};
        model.parts = {part};
        EXPECT_EQ(slashes(model).size(), count);
        model.parts[0].bars[0].chords.front().held = true; // its first beat has a slash too
        if (chords.size() > 1) {
            EXPECT_EQ(slashes(model).size(), count + 1);
        }
    }
}

TEST(Sheet, NoSlashLiesOnAName)
{
    SheetModel model;
    model.title = "Long names";
    SheetPart part{"Verse", "", {}, "", "", "", {}, {}};
    part.bars = {samples::bar({{"Am7", 2}, {"G/B", 2}}), samples::bar({{"C#m7b5/G#", 2}, {"F#maj7#11/A#", 2}})};
    model.parts = {part};
    auto const boxes = Pdf(model).ask({"pdftotext", "-bbox"});
    std::regex const word(
        R"re(<word xMin="([-0-9.]+)" yMin="([-0-9.]+)" xMax="([-0-9.]+)" yMax="([-0-9.]+)">([^<]*))re");
    auto const at = slashes(model);
    EXPECT_EQ(at.size(), 4U);
    for (std::sregex_iterator it(boxes.begin(), boxes.end(), word), end; it != end; ++it)
        for (cv::Point2d const middle : at) {
            bool const beside = middle.x < std::stod((*it)[1]) || middle.x > std::stod((*it)[3]);
            EXPECT_TRUE(beside || middle.y < std::stod((*it)[2]) || middle.y > std::stod((*it)[4])) << (*it)[5];
        }
}

SheetModel long_sheet(int parts)
{
    auto model = samples::lantern_sheet();
    auto const verse = model.parts.front();
    model.parts.clear();
    for (int i = 1; i <= parts; ++i) {
        model.parts.push_back(verse);
        model.parts.back().name = "Part " + std::to_string(i);
    }
    return model;
}

TEST(Sheet, FortyPartsGoOverPagesAndNoneIsTorn)
{
    auto const model = long_sheet(40);
    Pdf const pdf(model);
    int const pages = count_pages(model, {});
    EXPECT_GT(pages, 5);
    EXPECT_THAT(pdf.ask({"pdfinfo"}), testing::ContainsRegex("Pages: +" + std::to_string(pages)));
    auto const text = pdf.ask({"pdftotext", "-raw"});
    for (int i = 1; i <= 40; ++i)
        EXPECT_THAT(text, HasSubstr("Part " + std::to_string(i) + " rolling"));
    EXPECT_THAT(text, testing::Not(HasSubstr("continued")));
    EXPECT_THAT(text, HasSubstr(std::to_string(pages) + " of " + std::to_string(pages)));
}

TEST(Sheet, APartLongerThanAPageGoesOnUnderItsName)
{
    auto model = samples::lantern_sheet();
    auto& verse = model.parts.front();
    auto const bars = verse.bars;
    for (int i = 0; i < 20; ++i)
        verse.bars.insert(verse.bars.end(), bars.begin(), bars.end());
    EXPECT_THAT(Pdf(model).ask({"pdftotext", "-raw"}), HasSubstr("Verse 1, continued"));
}

TEST(Sheet, SetsTitlesAndWordsOfOtherScripts)
{
    auto model = samples::lantern_sheet();
    model.title = "\u0424\u043E\u043D\u0430\u0440\u044C \u2013 \u03A6\u03B1\u03BD\u03AC\u03C1\u03B9 \u2013 "
                  "Lumi\u00E8re \u00E0 \u0141\u00F3d\u017A";
    model.parts[0].words = {"\u0641\u0627\u0646\u0648\u0633 \u0639\u0644\u0649 \u0627\u0644\u0631\u0635\u064A\u0641"};
    EXPECT_TRUE(texts_without_glyphs(model, {}).empty());
    EXPECT_THAT(Pdf(model).ask({"pdftotext"}), HasSubstr("\u03A6\u03B1\u03BD\u03AC\u03C1\u03B9"));
    model.parts[0].name = "\u0378"; // Unicode assigns no character there
    EXPECT_EQ(texts_without_glyphs(model, {}), std::vector<std::string>{"\u0378"});
}

TEST(Sheet, PrintsInBlackAndGreyAlone)
{
    TemporaryFolder const folder;
    auto const files = *draw_sheet(samples::lantern_sheet(), {}, SheetFormat::png);
    auto const page = tests::read_png(written(folder, "page.png", files[0]));
    EXPECT_TRUE(std::ranges::any_of(page.pixels, [](std::uint32_t pixel) { return (pixel & 0xFF) < 64; })); // ink
    for (std::uint32_t const pixel : page.pixels) {
        ASSERT_EQ(pixel & 0xFF, (pixel >> 8) & 0xFF);
        ASSERT_EQ(pixel & 0xFF, (pixel >> 16) & 0xFF);
    }
}

TEST(Sheet, AnEmptyLessonIsASheetTooWithItsTitle)
{
    SheetModel model;
    model.title = "Nothing yet";
    EXPECT_EQ(count_pages(model, {}), 1);
    EXPECT_THAT(Pdf(model).ask({"pdftotext"}), HasSubstr("Nothing yet"));
}

} // namespace
} // namespace tabard::overlay
