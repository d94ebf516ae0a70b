#include "pipeline/cues/transpose.h"

#include "cli/interrupt.h"
#include "cli/output_options.h"
#include "cli/program.h"
#include "cli/values.h"
#include "pipeline/cues/writer.h"
#include "pipeline/files/changed_file.h"
#include "pipeline/files/output_file.h"
#include "pipeline/workspace/workspace.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::cli {

namespace {

namespace fs = std::filesystem;

struct TransposeArguments {
    fs::path cues;
    std::string key;
    std::optional<int> capo;
    fs::path output;
    bool in_place = false;
    bool force = false;
};

/// False where nothing had to be written.
Result<bool> write(TransposeArguments const& arguments, std::string const& text, pipeline::Inputs const& inputs)
{
    if (arguments.in_place)
        return pipeline::change_in_place(arguments.cues, text, inputs);
    TRY_VOID(pipeline::write_text(text, arguments.output, existing(arguments.force), inputs));
    return true;
}

/// What was done, and what the author has to look at now.
void tell(TransposeArguments const& arguments, pipeline::Lesson const& lesson, pipeline::Transposed const& result,
          fs::path const& target, bool written, Console const& console)
{
    int const by = result.semitones;
    console.note(by == 0 ? "The chord shapes stay as they are."
                         : fmt::format("Moved all chord shapes {} semitone{} {}{}.", by < 0 ? -by : by,
                                       by == 1 || by == -1 ? "" : "s", by < 0 ? "down" : "up",
                                       result.shapes_key.empty() ? "" : ", to the key of " + result.shapes_key));
    if (!arguments.key.empty())
        console.note(fmt::format("{} still sounds as it was filmed: {} is for a new take.", lesson.footage->string(),
                                 target.string()));
    if (!result.own_shapes.empty())
        console.note(
            fmt::format("Your own shapes of {} stay in \"shapes\", and no chord has these names now: the new names "
                        "get their usual shapes. Give them shapes of yours where that matters.",
                        fmt::join(result.own_shapes, ", ")));
    if (!written)
        return console.note(fmt::format("{} stays as it is: nothing was written.", target.string()));
    console.wrote(target, "tabard check");
    if (arguments.in_place)
        console.offer_undo(target);
}

Result<void> transpose(TransposeArguments const& arguments, Console const& console)
{
    pipeline::Workspace workspace{interrupt_token()};
    pipeline::TransposeRequest request;
    request.capo = arguments.capo;
    TRY_ASSIGN(auto const written, workspace.read(arguments.cues, pipeline::Charts::untimed));
    if (!arguments.in_place)
        TRY_VOID(check_may_write(arguments.output, arguments.force, workspace.inputs()));
    TRY_VOID(pipeline::check_usable(written.file));
    if (!arguments.key.empty()) // in the language of the lesson
        request.key = option_value(overlay::Key::parse(arguments.key, *written.file.reading.lesson->names));
    auto result = pipeline::transpose(written.file, request);
    if (!result)
        return Error{result.error().kind, fmt::format("{}: {}", arguments.cues.string(), result.error().what)};
    pipeline::Lesson const& lesson = *written.file.reading.lesson;
    if (!arguments.in_place)
        result->document.set("footage", pipeline::JsonValue::string(name_beside(*lesson.footage, arguments.output)));
    TRY_VOID(check_not_interrupted());
    TRY_ASSIGN(bool const changed,
               write(arguments, pipeline::document_text(result->document, written.file.text), workspace.inputs()));
    tell(arguments, lesson, *result, arguments.in_place ? arguments.cues : arguments.output, changed, console);
    return {};
}

} // namespace

void add_transpose(CLI::App& program, Context& context)
{
    auto arguments = std::make_shared<TransposeArguments>();
    CLI::App& command = add_command(program, "transpose", "Write the lesson for another capo, or in another key",
                                    {"tabard transpose lesson.json --capo 2 -o capo2.json   # it sounds as before",
                                     "tabard transpose lesson.json --key E --in-place"});
    command.add_option("CUES", arguments->cues, "the cue file")->required();
    auto* const key = command.add_option("--key", arguments->key, "the key in which it shall sound, such as E or F#m");
    auto* const capo =
        command
            .add_option("--capo", arguments->capo, "the fret of the capo, 0 for none; without --key the sound stays")
            ->check(whole_number(0, 24));
    auto* const output = command.add_option("-o,--output", arguments->output, "the cue file to write")
                             ->check(name_with_ending({".json"}, "a cue file"));
    auto* const in_place = command.add_flag("--in-place", arguments->in_place, "change the cue file itself");
    output->excludes(in_place);
    command.add_flag("-f,--force", arguments->force, "replace the cue file that is there");
    command.callback([arguments, key, capo, &context] {
        if (key->empty() && capo->empty())
            throw CLI::ValidationError("transpose needs --key, --capo or both", "");
        if (arguments->output.empty() && !arguments->in_place)
            throw CLI::ValidationError("transpose needs -o FILE, or --in-place", "");
        if (auto const done = transpose(*arguments, context.console); !done)
            context.exit = fail(context.console, done.error());
    });
}

} // namespace tabard::cli
