#include "cli/interrupt.h"
#include "cli/output_options.h"
#include "cli/program.h"
#include "cli/progress.h"
#include "cli/values.h"
#include "pipeline/check/check_file.h"
#include "pipeline/check/rules/rules.h"
#include "pipeline/cues/finding_line.h"
#include "pipeline/cues/next_command.h"
#include "pipeline/cues/writer.h"
#include "pipeline/listen/compare_with_sound.h"
#include "pipeline/listen/hear_film.h"
#include "pipeline/listen/heard_document.h"
#include "pipeline/listen/listen_report.h"
#include "pipeline/workspace/workspace.h"

#include <algorithm>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace tabard::cli {

namespace {

namespace fs = std::filesystem;

struct ListenArguments {
    fs::path cues;
    fs::path output;
    bool anywhere = false;
    bool doubtful = false;
    bool dry_run = false;
    bool json = false;
    bool check = false;
    bool force = false;
    int late = 45; ///< milliseconds, as early
    int early = 125;
};

Result<pipeline::Hearing> sound_of(fs::path const& film, Console const& console)
{
    ProgressBar bar(console, "Listening");
    return bar.ended(pipeline::hear_film(film, interrupt_token(), [&bar](double share) { bar.show(share); }));
}

ExitCode check(ListenArguments const& arguments, pipeline::Lesson const& lesson, pipeline::Hearing const& heard,
               Console const& console)
{
    pipeline::SyncWindow const window{pipeline::from_ticks(arguments.late, 1, 1000),
                                      pipeline::from_ticks(arguments.early, 1, 1000)};
    auto const findings = pipeline::compare_with_sound(lesson, heard, window);
    for (pipeline::Finding const& finding : findings)
        console.print(pipeline::finding_line(arguments.cues, finding) + "\n");
    if (findings.empty())
        console.note(
            fmt::format("No chord comes more than {} ms late or {} ms early", arguments.late, arguments.early));
    return ExitCode::done; // what is heard is never more than a warning
}

/// What can be said of the charts before they are listened for: an unknown chord would be taken for silence.
void say_charts(ListenArguments const& arguments, pipeline::WrittenLesson const& written, Console const& console)
{
    auto const found = pipeline::check_charts(written.file, written.film.facts);
    for (pipeline::FoldedFinding const& folded : found.findings)
        if (folded.finding.code != pipeline::kNoChords.code) // said by check_has_charts()
            console.note(pipeline::finding_line(arguments.cues, folded.finding, folded.more));
}

/// Without charts there is nothing to write.
Result<void> check_has_charts(ListenArguments const& arguments, pipeline::Lesson const& lesson)
{
    bool const any = std::ranges::any_of(
        lesson.sections, [](pipeline::Section const& section) { return section.bars && (*section.bars)->bars() > 0; });
    if (any || arguments.output.empty())
        return {};
    return Error{
        ErrorKind::invalid_input,
        fmt::format("{} was not written: no part of {} has \"bars\", so there are no chords to listen for; write "
                    "them, as in \"bars\": \"C | G | Am | F\"",
                    arguments.output.string(), arguments.cues.string())};
}

Error nothing_sure(ListenArguments const& arguments, pipeline::LessonHeard const& result)
{
    bool const doubtful =
        std::ranges::count(result.sections, pipeline::Verdict::doubtful, &pipeline::HeardSection::verdict) > 0;
    return {ErrorKind::unsupported,
            fmt::format("{} was not written: no part is sure; {}", arguments.output.string(),
                        doubtful ? "do what stands after \"next\", or take what is doubtful with --doubtful"
                                 : "check the chords and the capo, or write when each part begins, as in \"from\": "
                                   "\"0:42\"")};
}

Result<void> write_pins(ListenArguments const& arguments, pipeline::LessonFile const& file,
                        pipeline::LessonHeard const& result, pipeline::Inputs const& inputs, Console const& console)
{
    if (arguments.output.empty()) {
        if (!arguments.dry_run && !arguments.json)
            console.note(fmt::format("Nothing was written. Next: {}", pipeline::listen_command(arguments.cues)));
        return {};
    }
    auto const written = std::ranges::count_if(result.sections, &pipeline::HeardSection::trusted);
    if (written == 0)
        return nothing_sure(arguments, result);
    auto const parts = std::ssize(result.sections);
    if (written < parts)
        console.note(
            fmt::format("{} of {} parts not written: what to do stands above after \"next\".", parts - written, parts));
    auto document = pipeline::with_heard_pins(file.document, *file.reading.lesson, result);
    document.set("footage", pipeline::JsonValue::string(name_beside(*file.reading.lesson->footage, arguments.output)));
    TRY_VOID(pipeline::write_text(pipeline::document_text(document, file.text), arguments.output,
                                  existing(arguments.force), inputs));
    console.wrote(arguments.output, "tabard check");
    return {};
}

Result<ExitCode> listen(ListenArguments const& arguments, Console const& console)
{
    pipeline::Workspace workspace{interrupt_token()};
    TRY_ASSIGN(auto const written,
               workspace.read(arguments.cues, arguments.check ? pipeline::Charts::timed : pipeline::Charts::untimed));
    TRY_VOID(pipeline::check_usable(written.file));
    if (!written.film.headers)
        return *written.film.error;
    TRY_VOID(check_may_write(arguments.output, arguments.force, workspace.inputs()));
    if (!arguments.check)
        say_charts(arguments, written, console);
    TRY_VOID(check_has_charts(arguments, *written.file.reading.lesson));
    auto const& lesson = *written.file.reading.lesson;
    TRY_ASSIGN(auto const heard, sound_of(written.film.path, console));
    TRY_VOID(check_not_interrupted());
    if (arguments.check)
        return check(arguments, lesson, heard, console);
    auto const places = arguments.anywhere ? pipeline::Places::anywhere : pipeline::Places::as_written;
    auto result = pipeline::listen(lesson, heard, places);
    TRY_VOID(check_not_interrupted());
    if (arguments.doubtful)
        for (pipeline::HeardSection& section : result.sections)
            section.taken = section.verdict == pipeline::Verdict::doubtful;
    console.print(arguments.json ? pipeline::listen_json(result) : pipeline::listen_text(result));
    TRY_VOID(write_pins(arguments, written.file, result, workspace.inputs(), console));
    return ExitCode::done;
}

} // namespace

void add_listen(CLI::App& program, Context& context)
{
    auto arguments = std::make_shared<ListenArguments>();
    CLI::App& command = add_command(program, "listen", "Find in the recorded sound when each chord is played",
                                    {"tabard listen lesson.json -o timed.json", "tabard listen timed.json --check"});
    command
        .add_option("CUES", arguments->cues, "a cue file whose parts have charts; their times may be rough or left out")
        ->required();
    command.add_option("-o,--output", arguments->output, "the cue file to write, with pins where chords are heard")
        ->check(name_with_ending({".json"}, "a cue file"));
    command.add_flag("--anywhere", arguments->anywhere,
                     "do not use the rough times: look in the whole film, as for parts without a time");
    command.add_flag("--doubtful", arguments->doubtful, "take parts that are heard but doubtful as if they were sure");
    command.add_flag("-n,--dry-run", arguments->dry_run, "only say what is heard");
    command.add_flag("--json", arguments->json, "say it as JSON");
    command.add_flag("--check", arguments->check, "compare finished cues with the sound instead");
    command.add_option("--late", arguments->late, "with --check: how late a chord may come, in milliseconds")
        ->check(whole_number(5, 5000))
        ->capture_default_str();
    command.add_option("--early", arguments->early, "with --check: how early a chord may come, in milliseconds")
        ->check(whole_number(5, 5000))
        ->capture_default_str();
    command.add_flag("-f,--force", arguments->force, "replace the cue file if it is there");
    command.callback([arguments, &context] {
        if (!arguments->output.empty() && (arguments->dry_run || arguments->check))
            throw CLI::ValidationError(arguments->check ? "--check" : "--dry-run",
                                       "writes nothing: leave it out, or leave out -o");
        auto const done = listen(*arguments, context.console);
        context.exit = done ? *done : fail(context.console, done.error());
    });
}

} // namespace tabard::cli
