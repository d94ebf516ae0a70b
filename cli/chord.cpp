#include "cli/chord_report.h"
#include "cli/interrupt.h"
#include "cli/output_options.h"
#include "cli/program.h"
#include "cli/values.h"
#include "overlay/drawing/chord_chart.h"
#include "overlay/music/musicxml/musicxml.h"
#include "pipeline/cues/lesson_file.h"
#include "pipeline/files/file_text.h"
#include "pipeline/publish/lesson_words.h"
#include "pipeline/timeline/lesson_shapes.h"
#include "pipeline/workspace/opened_lesson.h"

#include <algorithm>
#include <filesystem>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace tabard::cli {
namespace {

namespace fs = std::filesystem;

/// A score of an hour has a few million bytes.
constexpr std::size_t kMostMusicXmlBytes = 64 << 20;

struct ChordOptions {
    std::vector<std::string> names;
    std::string frets;
    std::string fingers;
    std::string instrument = "guitar";
    std::string tuning;
    std::string key;
    std::string language = "english";
    int capo = 0;
    std::size_t shapes = 3;
    bool left_handed = false;
    bool advise_capo = false;
    bool json = false;
    bool musicxml = false;
    bool force = false;
    fs::path from;
    fs::path picture;
};

ChordSetting setting_of(ChordOptions const& options)
{
    ChordSetting setting;
    setting.instrument = option_value(overlay::Instrument::named(options.instrument));
    if (!options.tuning.empty())
        setting.instrument = option_value(setting.instrument.tuned(options.tuning));
    setting.names = option_value(overlay::note_names_called(options.language));
    if (!options.key.empty())
        setting.key = option_value(overlay::Key::parse(options.key, setting.names));
    setting.capo = options.capo;
    setting.left_handed = options.left_handed;
    return setting;
}

/// What there is to report, and the names that stand in no report.
struct Reports {
    std::vector<ChordReport> chords;
    std::vector<RefusedName> refused;
};

struct ReadNames {
    std::vector<overlay::ChordName> chords;
    std::vector<RefusedName> refused;
};

ReadNames read_names(ChordOptions const& options, overlay::NoteNames language)
{
    ReadNames read;
    for (auto const& name : options.names) {
        if (auto chord = overlay::ChordName::parse(name, language))
            read.chords.push_back(*std::move(chord));
        else
            read.refused.push_back({name, chord.error()});
    }
    return read;
}

/// Says what is wrong with each name, and once how names of another language are read.
ExitCode refuse(std::vector<RefusedName> const& refused, overlay::NoteNames language, Console const& console)
{
    std::optional<overlay::NoteNames> other;
    for (auto const& name : refused) {
        console.error(name.error.what);
        other = other ? other : overlay::language_of(name.name, language);
    }
    if (other)
        console.note(fmt::format("--names {} reads all names so{}.", overlay::word_of(*other),
                                 *other == overlay::NoteNames::german ? "; B is B flat then" : ""));
    return refused.empty() ? ExitCode::done : exit_code(refused.front().error.kind);
}

std::string reason_in(std::vector<pipeline::ShapeInContext> const& in_context, std::string const& name)
{
    auto const found = std::ranges::find(in_context, name, &pipeline::ShapeInContext::name);
    if (found == in_context.end())
        return "";
    return found->alone.frets == found->shape.frets
               ? "so that " + found->reason
               : fmt::format("not {}, so that {}", found->alone.frets_text(), found->reason);
}

/// The chords of a lesson with the shapes that it shows, and why one is not the usual. The lesson's instrument and capo
/// are those of the report. Names that are no chord names are left out.
Result<Reports> reports_of_lesson(fs::path const& file, ChordSetting& setting)
{
    TRY_ASSIGN(auto const read, pipeline::read_lesson_file(file, {{}, pipeline::Charts::untimed}));
    TRY_VOID(pipeline::check_usable(read));
    pipeline::Lesson const& lesson = *read.reading.lesson;
    TRY_ASSIGN(setting.instrument, overlay::Instrument::named(*lesson.instrument));
    setting.instrument.tuning = *lesson.tuning;
    setting.capo = *lesson.capo;
    setting.left_handed = setting.left_handed || *lesson.left_handed;
    setting.names = *lesson.names;
    pipeline::LessonShapes shapes(lesson);
    Reports reports;
    for (auto const& name : pipeline::chord_names(lesson)) {
        auto const chord = lesson.chord(name);
        if (!chord) {
            if (!lesson.find_shape(name))
                reports.refused.push_back({name, chord.error()});
            continue;
        }
        ChordReport report{*chord, {}, {}, true};
        for (auto const& named : shapes.all(name)) {
            TRY_ASSIGN(auto judged, shape_report(named.shape, *chord, setting));
            judged.shapes.front().reason =
                named.level ? pipeline::level_word(*named.level) : reason_in(shapes.in_context(), name);
            report.shapes.push_back(std::move(judged.shapes.front()));
            report.fits = report.fits && judged.fits;
        }
        reports.chords.push_back(std::move(report));
    }
    return reports;
}

/// The chords of a MusicXML file: the shapes it gives judged, for the others the best that there is.
Result<Reports> reports_of_file(fs::path const& file, ChordSetting const& setting)
{
    TRY_ASSIGN(std::string const text, pipeline::read_file_text(file, kMostMusicXmlBytes));
    auto const harmonies = overlay::from_musicxml(text);
    if (!harmonies)
        return Error{harmonies.error().kind, fmt::format("{}: {}", file.string(), harmonies.error().what)};
    Reports reports;
    for (auto const& harmony : *harmonies) {
        TRY_VOID(check_not_interrupted());
        if (!harmony) {
            reports.refused.push_back({"", {harmony.error().kind, file.string() + ": " + harmony.error().what}});
            continue;
        }
        auto const& [chord, shape] = *harmony;
        auto report = shape ? shape_report(*shape, chord, setting) : search_report(chord, setting, 1);
        if (report)
            reports.chords.push_back(*std::move(report));
        else
            reports.refused.push_back({chord.text(setting.names), report.error()});
    }
    return reports;
}

Result<Reports> reports_of(ChordOptions const& options, ChordSetting& setting)
{
    if (options.from.extension() == ".json")
        return reports_of_lesson(options.from, setting);
    if (!options.from.empty())
        return reports_of_file(options.from, setting);
    auto read = read_names(options, setting.names);
    Reports reports{{}, std::move(read.refused)};
    if (options.frets.empty()) {
        for (auto const& chord : read.chords) {
            TRY_VOID(check_not_interrupted());
            reports.chords.push_back(search_report(chord, setting, options.shapes));
        }
        return reports;
    }
    auto const shape = option_value(overlay::Shape::parse(options.frets, options.fingers));
    if (!reports.refused.empty())
        return reports;
    auto const chord = read.chords.empty() ? std::nullopt : std::optional{read.chords.front()};
    TRY_ASSIGN(auto report, shape_report(shape, chord, setting));
    reports.chords.push_back(std::move(report));
    return reports;
}

Result<overlay::ChartFormat> format_of(fs::path const& picture)
{
    auto const extension = picture.extension();
    if (extension == ".png")
        return overlay::ChartFormat::png;
    if (extension == ".svg")
        return overlay::ChartFormat::svg;
    if (extension == ".pdf")
        return overlay::ChartFormat::pdf;
    return Error{ErrorKind::invalid_input,
                 fmt::format("{}: a picture of shapes is a .png, .svg or .pdf file", picture.string())};
}

Result<void> write_picture(ChordOptions const& options, ChordSetting const& setting,
                           std::vector<ChordReport> const& reports, pipeline::Inputs const& inputs,
                           Console const& console)
{
    auto const format = option_value(format_of(options.picture));
    std::vector<overlay::ChartEntry> entries;
    for (auto const& report : reports)
        for (auto const& one : report.shapes)
            entries.push_back({report.chord.label(setting.names), one.shape, one.reason});
    auto const columns = options.frets.empty() && options.from.empty() ? options.shapes : 4;
    TRY_ASSIGN(auto const bytes, overlay::draw_chord_chart(entries, columns, format, overlay::default_theme(),
                                                           setting.capo, setting.left_handed));
    TRY_VOID(check_not_interrupted());
    TRY_ASSIGN(auto file, pipeline::OutputFile::create(options.picture, existing(options.force), inputs));
    TRY_VOID(file.write(bytes));
    TRY_VOID(file.commit());
    console.wrote(options.picture);
    return {};
}

std::string musicxml_of(std::vector<ChordReport> const& reports, ChordSetting const& setting)
{
    std::vector<overlay::Harmony> harmonies;
    for (auto const& report : reports)
        harmonies.push_back(
            {report.chord, report.shapes.empty() ? std::nullopt : std::optional{report.shapes.front().shape}});
    return overlay::to_musicxml(harmonies, setting.instrument.tuning, setting.capo);
}

ExitCode advise(ChordOptions const& options, ChordSetting const& setting, Console const& console)
{
    auto const [chords, refused] = read_names(options, setting.names);
    if (!refused.empty()) // advice for a part of a song may be wrong for the whole
        return refuse(refused, setting.names, console);
    auto const& first = chords.front();
    auto const key = setting.key.value_or(overlay::Key{first.root, first.third == overlay::ChordName::Third::minor});
    console.print(capo_report(chords, key, setting));
    return ExitCode::done;
}

ExitCode run(ChordOptions const& options, Console const& console)
{
    auto setting = setting_of(options);
    if (options.advise_capo)
        return advise(options, setting, console);
    pipeline::Inputs const inputs{options.from};
    auto const read = reports_of(options, setting);
    if (!read)
        return fail(console, read.error());
    auto const& [reports, refused] = *read;
    ExitCode const exit = refuse(refused, setting.names, console);
    if (reports.empty() && exit != ExitCode::done && !options.json)
        return exit;
    if (!options.picture.empty() && !reports.empty()) {
        if (auto const written = write_picture(options, setting, reports, inputs, console); !written)
            return fail(console, written.error());
    }
    if (options.musicxml)
        console.print(musicxml_of(reports, setting));
    else if (options.json)
        console.print(report_json(reports, refused, setting));
    else if (options.picture.empty()) {
        for (auto const& report : reports)
            console.print(report_text(report, setting) + "\n");
        console.print(moves_report(reports, setting));
    }
    if (exit != ExitCode::done)
        return exit;
    return std::ranges::all_of(reports, &ChordReport::fits) ? ExitCode::done : ExitCode::findings;
}

} // namespace

void add_chord(CLI::App& program, Context& context)
{
    auto options = std::make_shared<ChordOptions>();
    CLI::App& command =
        add_command(program, "chord", "Shapes for a chord name, or names for a shape",
                    {"tabard chord F#m7b5 Bb13 \"D/F#\" E9 --capo 5", "tabard chord --frets x24432",
                     "tabard chord Bm --frets x24432 -o b_minor.svg", "tabard chord --from lesson.json"});
    command.add_option("NAME", options->names, "chord names, as the fretting hand plays them");
    command.add_option("--frets", options->frets, "name this shape, or judge it by the NAME given, e.g. x24432");
    command.add_option("--fingers", options->fingers,
                       "its fingers: one sign for each string, low string first, e.g. -13421");
    command.add_option(
        "--from", options->from,
        "read chords and shapes from a MusicXML file and judge them; from a cue file: the shapes that the lesson "
        "shows, and why");
    command.add_option("--capo", options->capo, "fret of the capo")->check(whole_number(0, 12));
    command
        .add_option("--names", options->language,
                    "how notes are named: english, german (H, Fis; B is B flat) or latin (Do, Re, Mi)")
        ->check(one_of({"english", "german", "latin"}));
    command.add_option("--key", options->key, "key of the shapes, for spelling, e.g. C or F#m");
    command.add_option("--instrument", options->instrument, "guitar, ukulele, banjo, mandolin, bass ...");
    command.add_option("--tuning", options->tuning,
                       "notes, low string first, or a name: \"D2 A2 D3 G3 A3 D4\", DADGAD");
    command.add_option("--shapes", options->shapes, "how many shapes a name (3)")->check(whole_number(1, 20));
    command.add_flag(
        "--advise-capo", options->advise_capo,
        "the NAMEs are the chords as they sound (in --key, or in the key of the first): say at which fret a "
        "capo makes them open shapes");
    command.add_flag("--left-handed", options->left_handed, "mirror the diagrams");
    command.add_flag("--json", options->json, "print JSON");
    command.add_flag("--musicxml", options->musicxml, "print a MusicXML 4.0 document with the best shape of each");
    command.add_option("-o,--output", options->picture, "write the diagrams to a .png, .svg or .pdf file");
    command.add_flag("-f,--force", options->force, "replace a picture that is there");
    command.callback([options, &context] {
        if (options->names.empty() && options->frets.empty() && options->from.empty())
            throw CLI::RequiredError("NAME, --frets or --from");
        if (options->advise_capo && options->names.empty())
            throw CLI::RequiredError("--advise-capo: NAME");
        if (!options->frets.empty() && options->names.size() > 1)
            throw CLI::ValidationError("--frets", "is judged by one NAME at most");
        context.exit = run(*options, context.console);
    });
}

} // namespace tabard::cli
