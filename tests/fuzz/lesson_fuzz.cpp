#include "overlay/sheet/sheet.h"
#include "pipeline/check/checker.h"
#include "pipeline/check/formats.h"
#include "pipeline/check/report/report.h"
#include "pipeline/cues/reader.h"
#include "pipeline/cues/transpose.h"
#include "pipeline/cues/writer.h"
#include "pipeline/publish/caption_files.h"
#include "pipeline/publish/captions.h"
#include "pipeline/publish/chapters.h"
#include "pipeline/publish/read_captions.h"
#include "pipeline/publish/sheet_builder.h"
#include "pipeline/publish/summary.h"
#include "pipeline/retime/csv_cut.h"
#include "pipeline/retime/edl_cut.h"
#include "pipeline/retime/export.h"
#include "pipeline/retime/lesson_through.h"
#include "pipeline/retime/otio_cut.h"
#include "pipeline/retime/plain_times.h"
#include "tests/fuzz/mutated_lesson.h"
#include "tests/support/paths.h"
#include "tests/support/run_program.h"

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>

#include <nlohmann/json.hpp>

// A mutated lesson goes all the way that a lesson goes: read, checked, laid out, drawn on a sheet, published, exported
// and retimed. The bytes choose lesson and mutations.
namespace tabard::tests {
namespace {

using namespace pipeline;

constexpr Time kFilm{60 * kFlicksPerSecond};
constexpr MediaFacts kFacts{Time{0}, kFilm, {25, 1}};

void must(bool holds, char const* what, std::string const& text)
{
    if (holds)
        return;
    std::fprintf(stderr, "%s\n%s\n", what, text.c_str());
    std::abort();
}

std::vector<std::string> const& lessons()
{
    static std::vector<std::string> const all = [] {
        std::vector<std::string> texts;
        for (char const* path : {"sample_media/lantern.json", "tests/fuzz/seeds/cue_file/nasty.json",
                                 "tests/fuzz/seeds/lesson/pieces.json", "tests/fuzz/seeds/lesson/as_another.json"})
            texts.push_back(read_text(source_folder() / path));
        return texts;
    }();
    return all;
}

/// Stretches of the film in any order, some twice, some faster, backwards or held.
EditMap any_cut(std::mt19937& random)
{
    std::vector<KeptSpan> spans;
    Time at{0};
    for (auto pieces = random() % 7; pieces > 0; --pieces) {
        Time const from{static_cast<std::int64_t>(random() % 55) * kFlicksPerSecond +
                        static_cast<std::int64_t>(random() % 1000)};
        Time const length{static_cast<std::int64_t>(1 + random() % 20'000) * (kFlicksPerSecond / 1000)};
        KeptSpan span{{from, from + length}, {at, at + length}};
        auto const kind = random() % 8;
        if (kind == 0)
            span.target.to = at + length / 2 + Time{1};
        if (kind == 1)
            span.motion = Motion::reverse;
        if (kind == 2)
            span = {{from, from}, {at, at + length}, Motion::freeze};
        spans.push_back(span);
        at = span.target.to + Time{random() % 3 == 0 ? static_cast<std::int64_t>(kFlicksPerSecond) : 0};
    }
    auto const cut = EditMap::create(spans);
    must(cut.has_value(), "a cut of the test itself is none", "");
    return *cut;
}

void check_it(LessonReading const& reading, Timeline const& timeline, std::string const& text)
{
    auto const result = check_lesson({*reading.lesson, timeline, nullptr, nullptr}, reading.findings);
    auto const list = gnu_text(result, "l.json");
    must(std::ranges::count(list, '\n') == static_cast<std::ptrdiff_t>(result.findings.size()), "a finding is no line",
         text);
    must(nlohmann::json::accept(json_text(result, "l.json")), "the findings are no JSON", text);
    must(nlohmann::json::accept(sarif_text(result, "l.json")), "the findings are no SARIF", text);
    std::filesystem::path const name = "l.json";
    (void)report_html({result, name, &*reading.lesson, &timeline});
}

void look_at_it(Timeline const& timeline, std::string const& text)
{
    auto const& instants = timeline.change_instants();
    must(std::ranges::is_sorted(instants), "the instants do not rise", text);
    for (std::size_t i = 0; i < instants.size(); i += 1 + instants.size() / 50)
        for (overlay::Layer const& layer : timeline.scene_at(instants[i]).layers)
            must(layer.level > 0 && layer.level <= overlay::kFullLevel, "a layer is there in no measure", text);
}

/// As many captions as are read back, each without a complaint; none where the file holds none.
std::size_t read_back(std::string const& captions, std::string const& text)
{
    auto const reading = parse_captions(captions);
    must(!reading || reading->left_out.empty(), "a caption of ours is left out", text);
    return reading ? reading->file.captions.size() : 0;
}

void publish_it(Lesson const& lesson, Timeline const& timeline, std::string const& text)
{
    auto const captions = captions_of(lesson, timeline);
    must(read_back(webvtt({captions, {}}), text) == captions.size(), "the captions are read back as others", text);
    must(read_back(subrip(captions), text) == captions.size(), "the SubRip captions are read back as others", text);
    auto const chapters = chapters_of(lesson, timeline);
    auto const list = chapter_list(chapters);
    must(std::ranges::count(list, '\n') == static_cast<std::ptrdiff_t>(chapters.size()), "a chapter is no line", text);
    must(read_back(webvtt_chapters(chapters), text) == chapters.size(), "the chapters are read back as others", text);
    (void)ffmetadata(*lesson.title, chapters);
    must(nlohmann::json::accept(summary_json(lesson, chapters)), "the summary is no JSON", text);
    must(description("{{title}}{{#chords}}{{name}}{{/chords}}", lesson, chapters).has_value(), "no description", text);
}

void export_it(Lesson const& lesson, Timeline const& timeline, EditMap const& cut, std::string const& text)
{
    ExportJob job;
    job.title = *lesson.title;
    job.footage = lesson.footage->string();
    job.footage_length = kFilm + kFilm;
    job.rate = kFacts.rate;
    job.cut = cut;
    job.length = std::max(cut.end(), Time{kFlicksPerSecond});
    job.cues = export_cues(lesson, timeline);
    CutOptions options;
    options.rate = job.rate;
    options.footage = lesson.footage->filename().string();
    options.footage_length = job.footage_length;
    auto const otio = parse_otio_cut(export_otio(job).text, options);
    bool const nothing_left = cut.spans().empty(); // refused when it is read
    must(nothing_left ? !otio : otio && otio->map.spans().size() == cut.spans().size(),
         "the exported timeline is read back as another", text);
    job.cut = EditMap::identity(kFilm);
    job.length = kFilm;
    auto const edl = parse_edl_cut(export_edl(job).text, options);
    must(edl && edl->map == job.cut, "the exported edit list is read back as another", text);
    (void)read_back(export_vtt(job).text, text);
    (void)export_csv(job);
}

void retime_it(LessonFile const& file, EditMap const& cut, std::string const& text)
{
    auto const retimed = retime(file, kFacts, cut);
    auto const written = document_text(retimed.document, text);
    must(parse_document(written).value() == retimed.document, "a retimed lesson is read back as another",
         text + written);
    auto const back = parse_lesson(written, "new.json");
    must(back.lesson.has_value(), "a retimed lesson is none", text + written);
    bool const nothing_left = retimed.document.find("sections")->items.empty(); // refused by who asks for it
    must(!file.reading.usable() || back.usable() || nothing_left,
         "a retimed lesson has errors that the old one has not", text + written);
    auto const plain = document_text(with_plain_times(retimed.document, file.document), text);
    must(!file.reading.usable() || parse_lesson(plain, "new.json").usable() || nothing_left, "plain times are errors",
         text + plain);
    must(nlohmann::json::accept(report_json(retimed.report, "l.json")), "the report is no JSON", text);
    (void)report_text(retimed.report, "l.json");
    (void)lesson_through(file, kFacts, cut);
}

void transpose_it(LessonFile const& file, std::mt19937& random, std::string const& text)
{
    TransposeRequest request;
    request.capo = static_cast<int>(random() % 13);
    auto const moved = transpose(file, request);
    if (!moved)
        return;
    auto const written = document_text(moved->document, text);
    must(parse_document(written).value() == moved->document, "a transposed lesson is read back as another",
         text + written);
    must(parse_lesson(written, "new.json").usable(), "a transposed lesson has errors", text + written);
}

void draw_it(Lesson const& lesson, std::string const& text)
{
    auto const sheet = overlay::draw_sheet(build_sheet(lesson), {}, overlay::SheetFormat::svg);
    must(sheet || sheet.error().kind == ErrorKind::invalid_input, "the sheet fails", text);
}

} // namespace
} // namespace tabard::tests

extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size)
{
    using namespace tabard::tests;
    std::seed_seq seed(data, data + size);
    std::mt19937 random(seed);
    std::string const text = mutated_lesson(lessons()[random() % lessons().size()], random);
    auto document = parse_document(text);
    LessonReading reading = parse_lesson(text, "l.json");
    must(reading.lesson || !reading.findings.empty(), "no lesson, and no word why", text);
    must(document || !reading.usable(), "a lesson of what is no document", text);
    if (!reading.lesson || !document)
        return 0;
    auto const timeline = Timeline::resolve(*reading.lesson, kFacts);
    EditMap const cut = any_cut(random);
    check_it(reading, timeline, text);
    look_at_it(timeline, text);
    if (!reading.usable())
        return 0; // the commands stop here
    publish_it(*reading.lesson, timeline, text);
    export_it(*reading.lesson, timeline, cut, text);
    if (random() % 16 == 0)
        draw_it(*reading.lesson, text);
    LessonFile const file{"l.json", text, *std::move(document), std::move(reading)};
    transpose_it(file, random, text);
    retime_it(file, cut, text);
    return 0;
}
