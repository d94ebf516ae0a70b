#include "cli/allowance_options.h"
#include "cli/cut_options.h"
#include "cli/finding_view.h"
#include "cli/interrupt.h"
#include "cli/open_lesson.h"
#include "cli/output_options.h"
#include "cli/program.h"
#include "cli/progress.h"
#include "cli/theme_input.h"
#include "cli/values.h"
#include "cli/watch.h"
#include "overlay/base/nearest_word.h"
#include "pipeline/check/check_file.h"
#include "pipeline/check/formats.h"
#include "pipeline/check/place.h"
#include "pipeline/check/report/report.h"
#include "pipeline/check/report/thumbnails.h"
#include "pipeline/files/file_text.h"
#include "pipeline/listen/compare_with_sound.h"
#include "pipeline/listen/hear_film.h"
#include "pipeline/listen/listen_codes.h"

#include <algorithm>
#include <iterator>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace tabard::cli {

namespace {

struct CheckArguments {
    pipeline::LessonRequest lesson;
    std::string format = "gnu";
    std::string explain;
    bool json = false;
    bool strict = false;
    bool quick = false;
    bool listen = false;
    bool every_picture = false;
    bool place = false;
    bool watch = false;
    bool force = false;
    std::filesystem::path report;
    AllowanceOptions allowance;
};

/// As the film will be drawn.
Result<overlay::Theme> theme_of(pipeline::Lesson const& lesson, pipeline::Timeline const& timeline,
                                pipeline::Workspace& workspace)
{
    auto const& headers = workspace.headers(*lesson.footage);
    TRY_ASSIGN(auto chosen, theme_on_film(lesson, timeline, headers ? &*headers : nullptr, "", KnownFacts::keep,
                                          workspace, interrupt_token()));
    return std::move(chosen.theme);
}

Result<std::vector<pipeline::Finding>> heard_in(pipeline::Lesson const& lesson, std::stop_token stop)
{
    TRY_ASSIGN(auto const heard, pipeline::hear_film(*lesson.footage, std::move(stop)));
    return pipeline::compare_with_sound(lesson, heard);
}

Result<pipeline::CheckedLesson> checked(CheckArguments const& arguments, pipeline::Workspace& workspace,
                                        std::stop_token stop, Console const& console)
{
    ProgressBar bar{console, "Looking at the film"};
    pipeline::CheckRequest request;
    request.strict = arguments.strict;
    request.quick = arguments.quick;
    request.theme = [&workspace](pipeline::Lesson const& lesson, pipeline::Timeline const& timeline) {
        return theme_of(lesson, timeline, workspace);
    };
    request.pictures.corners = arguments.place ? pipeline::Corners::all : pipeline::Corners::where_needed;
    request.pictures.survey.every_picture = arguments.every_picture;
    TRY_ASSIGN(request.pictures.survey.allowance, allowance(arguments.allowance));
    request.pictures.survey.progress = [&bar](double share) { bar.show(share); };
    request.other_codes = pipeline::listen_codes();
    if (arguments.listen)
        request.sound_findings = [stop](pipeline::Lesson const& lesson) { return heard_in(lesson, stop); };
    request.stop = stop;
    if (arguments.lesson.through.cut.empty()) {
        TRY_ASSIGN(auto written, workspace.read(arguments.lesson.cues));
        TRY_VOID(check_may_write(arguments.report, arguments.force, workspace.inputs()));
        return bar.ended(pipeline::check_written(std::move(written), request));
    }
    pipeline::LessonRequest through = arguments.lesson;
    through.may_write = may_write(arguments.report, arguments.force);
    TRY_ASSIGN(auto opened, workspace.open(through));
    say_remarks(opened, console); // its doubts are findings
    if (opened.film.error)
        console.note(opened.film.error->what + "; frames and sound are not looked at");
    return bar.ended(pipeline::check_opened(std::move(opened), request));
}

std::string report_text(CheckArguments const& arguments, pipeline::CheckedLesson const& checked,
                        pipeline::Workspace& workspace, std::stop_token stop)
{
    pipeline::ReportInput input{checked.result, arguments.lesson.cues, checked.lesson ? &*checked.lesson : nullptr,
                                checked.timeline ? &*checked.timeline : nullptr};
    if (!checked.film_is_there)
        return pipeline::report_html(input);
    auto const theme = theme_of(*checked.lesson, *checked.timeline, workspace);
    auto pictures = pipeline::Thumbnails::open(*checked.lesson->footage, *checked.timeline,
                                               pipeline::stage_of(*checked.lesson, checked.film->displayed),
                                               theme ? *theme : overlay::default_theme(), std::move(stop));
    if (pictures)
        input.picture_at = [&](pipeline::Time time) { return pictures->at(time); };
    input.upright = checked.film->displayed.height > checked.film->displayed.width;
    return pipeline::report_html(input);
}

Result<void> write_report(CheckArguments const& arguments, pipeline::CheckedLesson const& checked,
                          pipeline::Workspace& workspace, std::stop_token stop, Console const& console)
{
    TRY_VOID(pipeline::write_text(report_text(arguments, checked, workspace, std::move(stop)), arguments.report,
                                  existing(arguments.force), workspace.inputs()));
    console.wrote(arguments.report);
    return {};
}

Result<void> place(CheckArguments const& arguments, pipeline::CheckedLesson const& checked,
                   pipeline::Workspace const& workspace, Console const& console)
{
    if (!checked.pictures)
        return Error{ErrorKind::unsupported, "--place needs a film that can be looked at"};
    auto const better = pipeline::better_corners(*checked.lesson, *checked.pictures);
    if (better.empty()) {
        console.note("The overlays stay where they are: no corner is clearly better.");
        return {};
    }
    TRY_VOID(pipeline::write_placements(*checked.lesson, better, workspace.inputs()));
    for (auto const& [section, corner] : better)
        console.note(fmt::format(
            "Wrote \"placement\": \"{}\" {}to {}.", pipeline::placement_word(corner),
            section ? fmt::format("of '{}' ", *checked.lesson->sections[static_cast<std::size_t>(*section)].name) : "",
            arguments.lesson.cues.string()));
    console.offer_undo(arguments.lesson.cues);
    return {};
}

/// A line each for programs; with the line of the cue file for people.
void print_findings(pipeline::CheckResult const& result, std::filesystem::path const& file, Console const& console)
{
    auto const columns = console.result_columns();
    if (!columns)
        return console.print(pipeline::gnu_text(result, file));
    auto const text = pipeline::read_file_text(file, pipeline::kMostCueFileBytes).value_or("");
    for (pipeline::FoldedFinding const& folded : result.findings)
        console.show(finding_view(file, text, folded.finding, folded.more, {*columns, console.result_colours()}));
}

ExitCode check(CheckArguments const& arguments, pipeline::Workspace& workspace, Console const& console)
{
    auto const lesson = checked(arguments, workspace, interrupt_token(), console);
    if (!lesson)
        return fail(console, lesson.error());
    pipeline::CheckResult const& result = lesson->result;
    if (arguments.format == "json")
        console.print(pipeline::json_text(result, arguments.lesson.cues));
    else if (arguments.format == "sarif")
        console.print(pipeline::sarif_text(result, arguments.lesson.cues, pipeline::listen_codes()));
    else
        print_findings(result, arguments.lesson.cues, console);
    console.note(pipeline::summary_text(result));
    if (!arguments.report.empty())
        if (auto const written = write_report(arguments, *lesson, workspace, interrupt_token(), console); !written)
            return fail(console, written.error());
    if (arguments.place)
        if (auto const placed = place(arguments, *lesson, workspace, console); !placed)
            return fail(console, placed.error());
    return result.errors > 0 ? ExitCode::findings : ExitCode::done;
}

/// Every code that a finding may have, whoever makes it.
std::vector<pipeline::FindingCode> all_codes()
{
    std::vector<pipeline::FindingCode> codes;
    for (pipeline::Rule const* rule : pipeline::all_rules())
        codes.push_back(*rule);
    std::ranges::copy(pipeline::listen_codes(), std::back_inserter(codes));
    return codes;
}

ExitCode explain(std::string const& word, Console const& console)
{
    auto const codes = all_codes();
    auto const found = std::ranges::find(codes, word, &pipeline::FindingCode::code);
    if (found != codes.end()) {
        console.print(pipeline::explanation_text(*found));
        return ExitCode::done;
    }
    std::vector<std::string_view> words;
    std::ranges::transform(codes, std::back_inserter(words), &pipeline::FindingCode::code);
    auto const near = nearest_word(word, words);
    console.error(
        fmt::format("no finding has the code '{}'{}", word,
                    near ? fmt::format("; did you mean '{}'?", *near) : "; findings end with theirs in brackets"));
    return ExitCode::usage;
}

} // namespace

void add_check(CLI::App& program, Context& context)
{
    auto arguments = std::make_shared<CheckArguments>();
    CLI::App& command =
        add_command(program, "check", "Find mistakes in a lesson, and say where and how to fix them",
                    {"tabard check lesson.json", "tabard check lesson.json --strict --format sarif > findings.sarif",
                     "tabard check lesson.json --report report.html", "tabard check --explain beats-in-bar"});
    add_lesson_options(command, arguments->lesson);
    CLI::Option* cues = command.get_option("CUES")->required(false);
    command.add_option("--format", arguments->format, "gnu (for people and editors), json or sarif (SARIF 2.1.0)")
        ->check(one_of({"gnu", "json", "sarif"}));
    command.add_flag("--json", arguments->json, "the same as --format json");
    command.add_flag("--strict", arguments->strict, "count warnings as errors");
    command.add_flag("--quick", arguments->quick, "read the film's headers only, not its sound and frames");
    command.add_flag("--every-frame", arguments->every_picture,
                     "look for flashing in every frame, not in samples and where coded frames are large");
    add_allowance_options(command, arguments->allowance);
    command
        .add_option("--report", arguments->report, "write a page with the film's timeline and a frame at each finding")
        ->type_name("REPORT.html")
        ->check(name_with_ending({".html", ".htm"}, "a report"));
    CLI::Option* place = command.add_flag("--place", arguments->place,
                                          "write the corner that hides least of hands and faces into the cue file");
    place->excludes("--quick");
    place->excludes("--through");
    command.add_flag("-f,--force", arguments->force, "replace the report if it is there");
    command.add_flag("--listen", arguments->listen, "also compare the charts with the film's sound");
    CLI::Option* watching =
        command.add_flag("--watch", arguments->watch, "check again, as --quick, each time the cue file is saved");
    for (char const* const other : {"--place", "--report", "--listen", "--every-frame", "--json", "--format"})
        watching->excludes(command.get_option(other));
    command.add_option("--explain", arguments->explain, "only say what a code means");
    command.callback([arguments, cues, &context] {
        if (!arguments->explain.empty()) {
            context.exit = explain(arguments->explain, context.console);
            return;
        }
        if (cues->count() == 0)
            throw CLI::RequiredError("CUES");
        if (arguments->json)
            arguments->format = "json";
        if (arguments->watch) {
            arguments->quick = true;
            context.exit = watch(arguments->lesson.cues, context.console, [&] {
                pipeline::Workspace workspace{interrupt_token()};
                check(*arguments, workspace, context.console);
                return workspace.inputs();
            });
            return;
        }
        pipeline::Workspace workspace{interrupt_token()};
        context.exit = check(*arguments, workspace, context.console);
    });
}

} // namespace tabard::cli
