#include "cli/cut_options.h"
#include "cli/interrupt.h"
#include "cli/output_options.h"
#include "cli/program.h"
#include "cli/values.h"
#include "pipeline/cues/writer.h"
#include "pipeline/retime/lesson_through.h"
#include "pipeline/retime/plain_times.h"
#include "pipeline/time/timecode.h"
#include "pipeline/workspace/cut_film.h"
#include "pipeline/workspace/workspace.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace tabard::cli {

namespace {

namespace fs = std::filesystem;

struct RetimeArguments {
    fs::path cues;
    pipeline::CutRequest by;
    fs::path footage;
    fs::path output;
    fs::path report;
    bool force = false;
    bool strict = false;
};

/// What it is called beside the new cue file, and what it is.
struct NewFilm {
    pipeline::RetimeOptions options;
    std::optional<pipeline::CutDoubt> doubt; ///< of its being the film of the cut
};

Result<NewFilm> about_new_film(RetimeArguments const& arguments, pipeline::Workspace& workspace,
                               pipeline::KnownFilm const& old_film, pipeline::CutReading const& cut,
                               Console const& console)
{
    fs::path const& target = arguments.output.empty() ? arguments.cues : arguments.output;
    fs::path const footage =
        arguments.footage.empty() && workspace.names_film(arguments.by) ? arguments.by.cut : arguments.footage;
    NewFilm result;
    auto& options = result.options;
    options.new_length = cut.new_length;
    if (footage.empty()) {
        options.footage = name_beside(old_film.path, target);
        options.new_footage = {pipeline::Time{0}, cut.new_length,
                               old_film.facts.rate}; // so that `check` knows the old film by its length
        if (!arguments.output.empty())
            console.note(fmt::format("{} still names {}, the film before the cut: give the new one with --footage",
                                     target.string(), options.footage));
        return result;
    }
    TRY_ASSIGN(auto const film, workspace.headers(footage));
    options.footage = name_beside(footage, target);
    options.new_footage = pipeline::facts_of(film);
    result.doubt = pipeline::doubt_of_film(cut, *options.new_footage, film.video->first_label);
    if (result.doubt)
        options.new_footage->duration = cut.new_length; // where the film has another, `check` asks the same
    return result;
}

bool nothing_is_left(pipeline::RetimeReport const& report)
{
    constexpr auto kPart = pipeline::CueKind::section;
    return report.count(kPart) > 0 && report.count(kPart) == report.count(kPart, pipeline::Fate::lost);
}

Result<void> retime(RetimeArguments const& arguments, Console const& console)
{
    pipeline::Workspace workspace{interrupt_token()};
    TRY_ASSIGN(auto const written, workspace.read(arguments.cues));
    for (fs::path const& file : {arguments.by.cut, arguments.by.old_film, arguments.footage})
        workspace.add_input(file);
    TRY_VOID(check_may_write(arguments.output, arguments.force, workspace.inputs()));
    TRY_VOID(check_may_write(arguments.report, arguments.force, workspace.inputs()));
    TRY_VOID(pipeline::check_usable(written.file));
    if (written.film.error)
        console.note(written.film.error->what + "; going by what the cue file notes about it");
    TRY_ASSIGN(auto const cut, workspace.read_cut(arguments.by, written.film));
    TRY_ASSIGN(auto const film, about_new_film(arguments, workspace, written.film, cut, console));
    std::vector<std::string> doubts;
    std::ranges::transform(cut.doubts, std::back_inserter(doubts), &pipeline::CutDoubt::text);
    if (film.doubt)
        doubts.push_back(film.doubt->text());
    if (!doubts.empty() && arguments.strict)
        return Error{ErrorKind::invalid_input, fmt::format("{}", fmt::join(doubts, ". "))};
    TRY_VOID(check_not_interrupted());
    auto retimed = pipeline::retime(written.file, pipeline::facts_before(written.film, cut), cut.map, film.options);
    retimed.report.remarks = cut.remarks;
    std::ranges::move(doubts, std::back_inserter(retimed.report.warnings));
    pipeline::OutputFiles files{existing(arguments.force), workspace.inputs()};
    if (nothing_is_left(retimed.report)) {
        console.print(pipeline::report_text(retimed.report, arguments.cues.string()));
        return Error{ErrorKind::invalid_input,
                     fmt::format("{} keeps no part of this lesson{}", arguments.by.cut.string(),
                                 arguments.output.empty() ? "" : "; nothing was written")};
    }
    auto const document = pipeline::with_plain_times(std::move(retimed.document), written.file.document);
    if (!arguments.output.empty())
        TRY_VOID(files.write(arguments.output, pipeline::document_text(document, written.file.text)));
    if (!arguments.report.empty())
        TRY_VOID(files.write(arguments.report, pipeline::report_json(retimed.report, arguments.cues.string())));
    TRY_VOID(files.commit());
    console.print(pipeline::report_text(retimed.report, arguments.cues.string()));
    if (!arguments.output.empty())
        console.wrote(arguments.output, "tabard check");
    if (!arguments.report.empty())
        console.wrote(arguments.report);
    return {};
}

} // namespace

void add_retime(CLI::App& program, Context& context)
{
    auto arguments = std::make_shared<RetimeArguments>();
    CLI::App& command =
        add_command(program, "retime", "Move every cue to the film as it was cut again",
                    {"tabard retime lesson.json --by cut.edl --footage new.mp4 -o new.json",
                     "tabard retime lesson.json --by new.mp4 -o new.json   # the cut is found by sound",
                     "tabard retime lesson.json --by cut.csv   # only say what would become of each cue"});
    command.add_option("CUES", arguments->cues, "the cue file of the film before the cut")->required();
    command.add_option("-o,--output", arguments->output, "the cue file to write for the new film")
        ->check(name_with_ending({".json"}, "a cue file"));
    command.add_option("--footage", arguments->footage, "the new film");
    command.add_option("--report", arguments->report, "write what became of each cue to this file, as JSON")
        ->check(name_with_ending({".json"}, "a report"));
    command.add_flag("-f,--force", arguments->force, "replace files that are there");
    command.add_flag("--strict", arguments->strict, "refuse a new film that does not fit the cut");
    add_cut_options(command, "--by",
                    "the cut: a CMX 3600 edit list (.edl), OpenTimelineIO (.otio), a table of kept pieces (.csv: "
                    "from,to[,at], or under a heading such as Start;End), or the "
                    "new film",
                    arguments->by)
        ->required();
    command.callback([arguments, &context] {
        if (auto const done = retime(*arguments, context.console); !done)
            context.exit = fail(context.console, done.error());
    });
}

} // namespace tabard::cli
