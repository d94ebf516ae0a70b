#include "cli/interrupt.h"
#include "cli/open_lesson.h"
#include "cli/program.h"
#include "pipeline/check/check_file.h"
#include "pipeline/check/formats.h"
#include "pipeline/cues/nearest.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace tabard::cli {

namespace {

struct CheckArguments {
    LessonArguments lesson;
    std::string format = "gnu";
    std::string explain;
    bool json = false;
    bool strict = false;
    bool quick = false;
};

Result<pipeline::CheckedLesson> checked(CheckArguments const& arguments, std::stop_token stop)
{
    pipeline::CheckRequest request;
    request.strict = arguments.strict;
    request.quick = arguments.quick;
    request.stop = std::move(stop);
    if (arguments.lesson.through.cut.empty())
        return pipeline::check_file(arguments.lesson.cues, request);
    TRY_ASSIGN(OpenedLesson opened, open_lesson(arguments.lesson));
    return pipeline::check_opened(std::move(opened.lesson), std::move(opened.findings), request);
}

ExitCode check(CheckArguments const& arguments, Console const& console)
{
    auto const lesson = checked(arguments, interrupt_token());
    if (!lesson)
        return fail(console, lesson.error());
    pipeline::CheckResult const& result = lesson->result;
    if (arguments.format == "json")
        console.print(pipeline::json_text(result, arguments.lesson.cues));
    else if (arguments.format == "sarif")
        console.print(pipeline::sarif_text(result, arguments.lesson.cues));
    else
        console.print(pipeline::gnu_text(result, arguments.lesson.cues));
    console.note(pipeline::summary_text(result));
    return result.errors > 0 ? ExitCode::findings : ExitCode::done;
}

ExitCode explain(std::string const& code, Console const& console)
{
    if (pipeline::Rule const* rule = pipeline::find_rule(code)) {
        console.print(pipeline::explanation_text(*rule));
        return ExitCode::done;
    }
    std::vector<std::string_view> codes;
    for (pipeline::Rule const* rule : pipeline::all_rules())
        codes.push_back(rule->code);
    auto const near = pipeline::nearest(code, codes);
    console.error(
        fmt::format("no finding has the code '{}'{}", code,
                    near ? fmt::format("; did you mean '{}'?", *near) : "; findings end with theirs in brackets"));
    return ExitCode::usage;
}

} // namespace

void add_check(CLI::App& program, Context& context)
{
    auto arguments = std::make_shared<CheckArguments>();
    CLI::App& command =
        add_command(program, "check", "Say what is wrong or would embarrass you, and where to mend it",
                    {"tabard check lesson.json", "tabard check lesson.json --strict --format sarif > findings.sarif",
                     "tabard check --explain beats-in-bar"});
    add_lesson_options(command, arguments->lesson);
    CLI::Option* cues = command.get_option("CUES")->required(false);
    command.add_option("--format", arguments->format, "gnu (for people and editors), json or sarif (SARIF 2.1.0)")
        ->check(CLI::IsMember({"gnu", "json", "sarif"}));
    command.add_flag("--json", arguments->json, "the same as --format json");
    command.add_flag("--strict", arguments->strict, "count warnings as errors");
    command.add_flag("--quick", arguments->quick, "read the film's headers only, not its sound");
    command.add_option("--explain", arguments->explain, "say what a code means, and leave");
    command.callback([arguments, cues, &context] {
        if (!arguments->explain.empty()) {
            context.exit = explain(arguments->explain, context.console);
            return;
        }
        if (cues->count() == 0)
            throw CLI::RequiredError("CUES");
        if (arguments->json)
            arguments->format = "json";
        context.exit = check(*arguments, context.console);
    });
}

} // namespace tabard::cli
