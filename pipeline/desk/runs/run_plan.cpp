#include "pipeline/desk/runs/run_plan.h"

#include "overlay/base/utf8.h"
#include "pipeline/desk/runs/cut_rows.h"
#include "pipeline/desk/runs/heard_parts.h"
#include "pipeline/desk/runs/output_name.h"
#include "pipeline/desk/server/asked.h"
#include "pipeline/desk/view/findings_json.h"
#include "pipeline/desk/view/part_of_file.h"
#include "pipeline/desk/view/told_findings.h"
#include "pipeline/files/file_text.h"
#include "pipeline/files/output_file.h"
#include "pipeline/files/output_folder.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <atomic>
#include <span>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kMostReport = std::size_t{64} << 20;
constexpr std::string_view kFilmEndings[] = {".mp4", ".m4v", ".mov", ".mkv", ".webm"};
constexpr std::string_view kSwitchableEndings[] = {".mkv"};
constexpr std::string_view kTrackEndings[] = {".mov", ".webm"};
constexpr std::string_view kSheetEndings[] = {".pdf"};
constexpr std::string_view kCutEndings[] = {".edl", ".otio", ".csv"};

Error wrong(std::string what) { return {ErrorKind::invalid_input, std::move(what)}; }

fs::path folder_of(RunLesson const& lesson) { return lesson.file.parent_path(); }

/// A file of the folder as a command there names it.
std::string word(fs::path const& file)
{
    std::string const name = file.filename().string();
    return name.starts_with('-') ? "./" + name : name;
}

/// What the usual names of outputs begin with: the lesson's name, as far as a plain name may have it.
std::string stem_of(RunLesson const& lesson)
{
    constexpr std::size_t kLongest = 150;
    std::string stem = on_one_line(lesson.file.stem().string());
    std::ranges::replace(stem, '\\', ' ');
    stem.erase(0, std::min(stem.find_first_not_of("-. "), stem.size()));
    stem.resize(std::min(stem.size(), kLongest));
    stem.resize(first_invalid_utf8(stem)); // a letter that was cut
    return stem.empty() ? "lesson" : stem;
}

Inputs inputs_of(RunLesson const& lesson) { return {lesson.file, lesson.view->film.path}; }

CommandPlan command(std::string kind, std::string words, RunLesson const& lesson, std::vector<std::string> arguments)
{
    CommandPlan plan;
    plan.kind = std::move(kind);
    plan.words = std::move(words);
    plan.arguments = std::move(arguments);
    plan.folder = folder_of(lesson);
    return plan;
}

/// A file that a command makes: its name, and whether one that is there is replaced.
struct Output {
    std::string name;
    fs::path path;
    bool force = false;
    std::optional<std::string> exists;
};

/// The name that was asked for, or the usual one.
Result<Output> output_of(Asked const& asked, RunLesson const& lesson, std::string const& usual,
                         std::span<std::string_view const> endings)
{
    Output output;
    TRY_ASSIGN(output.name, asked.text("name"));
    TRY_ASSIGN(output.force, asked.flag("force"));
    if (output.name.empty())
        output.name = usual;
    TRY_VOID(check_plain_name(output.name, endings));
    output.path = folder_of(lesson) / output.name;
    TRY_ASSIGN(AtOutput const there, look_at_output(output.path, inputs_of(lesson)));
    if (there == AtOutput::folder)
        return wrong(fmt::format("'{}' is a folder; choose another name", output.name));
    if (there == AtOutput::file && !output.force)
        output.exists = output.name;
    return output;
}

/// Adds what says where a command writes, and what it has made then.
RunPlan plan_for(CommandPlan plan, Output const& output)
{
    if (output.force)
        plan.arguments.emplace_back("--force");
    plan.arguments.insert(plan.arguments.end(), {"-o", output.name});
    plan.outcome = [output](CommandEnd const&) -> Result<CommandOutcome> {
        return CommandOutcome{{{output.name, output.path}}, "null", ""};
    };
    return {std::move(plan), output.exists};
}

Result<void> add_level(Asked const& asked, std::vector<std::string>& arguments)
{
    TRY_ASSIGN(std::string const level, asked.text("level"));
    if (level.empty())
        return {};
    if (level != "easy" && level != "full")
        return wrong("level must be easy or full; load the page again");
    arguments.insert(arguments.end(), {"--level", level});
    return {};
}

/// To the millisecond, of which a frame may be earlier or later all the same.
void add_time(std::string const& option, std::optional<Time> time, std::vector<std::string>& arguments)
{
    if (!time)
        return;
    std::string const text = print_time(*time);
    if (text.starts_with('-')) // would be taken for an option
        arguments.push_back(option + "=" + text);
    else
        arguments.insert(arguments.end(), {option, text});
}

Result<RunPlan> plan_render(Asked const& asked, RunLesson const& lesson)
{
    TRY_ASSIGN(bool const draft, asked.flag("draft"));
    TRY_ASSIGN(auto const from, asked.seconds("from"));
    TRY_ASSIGN(auto const to, asked.seconds("to"));
    if (from && to && *from >= *to)
        return wrong("a stretch of film ends after it begins; choose another");
    std::string const usual = fmt::format("{} {}.mp4", stem_of(lesson),
                                          draft        ? "draft"
                                          : from || to ? "part"
                                                       : "with chords");
    TRY_ASSIGN(Output const output, output_of(asked, lesson, usual, kFilmEndings));
    std::vector<std::string> arguments{"render", word(lesson.file)};
    if (draft)
        arguments.emplace_back("--draft");
    add_time("--from", from, arguments);
    add_time("--to", to, arguments);
    TRY_VOID(add_level(asked, arguments));
    return plan_for(command("render", fmt::format("{} {}", draft ? "Drafting" : "Rendering", output.name), lesson,
                            std::move(arguments)),
                    output);
}

Result<RunPlan> plan_switchable(Asked const& asked, RunLesson const& lesson)
{
    TRY_ASSIGN(Output const output, output_of(asked, lesson, stem_of(lesson) + " with chords.mkv", kSwitchableEndings));
    std::vector<std::string> arguments{"render", word(lesson.file), "--switchable"};
    TRY_VOID(add_level(asked, arguments));
    return plan_for(command("switchable", "Making " + output.name, lesson, std::move(arguments)), output);
}

Result<RunPlan> plan_track(Asked const& asked, RunLesson const& lesson)
{
    TRY_ASSIGN(Output const output, output_of(asked, lesson, stem_of(lesson) + " overlays.mov", kTrackEndings));
    std::vector<std::string> arguments{"render", word(lesson.file), "--overlay-only"};
    TRY_VOID(add_level(asked, arguments));
    return plan_for(command("track", "Making " + output.name, lesson, std::move(arguments)), output);
}

Result<RunPlan> plan_sheet(Asked const& asked, RunLesson const& lesson)
{
    TRY_ASSIGN(Output const output, output_of(asked, lesson, stem_of(lesson) + " sheet.pdf", kSheetEndings));
    TRY_ASSIGN(std::string const paper, asked.text("paper"));
    if (!paper.empty() && paper != "a4" && paper != "letter")
        return wrong("paper must be a4 or letter; load the page again");
    std::vector<std::string> arguments{"sheet", word(lesson.file)};
    if (!paper.empty())
        arguments.insert(arguments.end(), {"--paper", paper});
    TRY_VOID(add_level(asked, arguments));
    auto plan = command("sheet", "Making " + output.name, lesson, std::move(arguments));
    plan.heavy = false;
    return plan_for(std::move(plan), output);
}

/// What `publish` may leave in its folder.
constexpr std::string_view kPublished[] = {"chapters.txt", "chapters.vtt",    "chapters.ffmeta", "captions.vtt",
                                           "captions.srt", "description.txt", "summary.json",    "cover.png"};

CommandOutcome published_in(fs::path const& folder)
{
    CommandOutcome outcome;
    std::error_code failed;
    for (std::string_view const name : kPublished)
        if (fs::symlink_status(folder / name, failed).type() == fs::file_type::regular)
            outcome.made.push_back({std::string{name}, folder / name});
    outcome.what = fmt::format("Wrote {} files to {}", outcome.made.size(), folder.filename().string());
    return outcome;
}

Result<RunPlan> plan_publish(Asked const& asked, RunLesson const& lesson)
{
    TRY_ASSIGN(std::string name, asked.text("name"));
    TRY_ASSIGN(bool const force, asked.flag("force"));
    if (name.empty())
        name = stem_of(lesson) + " published";
    TRY_VOID(check_plain_name(name));
    fs::path const folder = folder_of(lesson) / name;
    TRY_ASSIGN(AtOutput const there, look_at_output(folder, inputs_of(lesson)));
    if (there == AtOutput::file)
        return wrong(fmt::format("'{}' is a file and no folder; choose another name", name));
    std::vector<std::string> arguments{"publish", word(lesson.file)};
    if (force)
        arguments.emplace_back("--force");
    arguments.insert(arguments.end(), {"-o", name});
    RunPlan plan{command("publish", "Publishing to " + name, lesson, std::move(arguments)), {}};
    std::error_code failed;
    if (there == AtOutput::folder && !force && !fs::is_empty(folder, failed))
        plan.exists = name;
    plan.command.outcome = [folder](CommandEnd const&) -> Result<CommandOutcome> { return published_in(folder); };
    return plan;
}

/// What `check --json` printed, as the page gets findings.
Result<CommandOutcome> checked(CommandEnd const& end, RunLesson const& lesson)
{
    TRY_ASSIGN(auto const findings, told_findings(end.out));
    Json const json{{"digest", lesson.view->digest}, {"findings", findings_json(findings, lesson.view->file.document)}};
    return CommandOutcome{{}, json_text(json), ""};
}

Result<RunPlan> plan_check(Asked const& asked, RunLesson const& lesson)
{
    TRY_ASSIGN(bool const listens, asked.flag("listen"));
    std::vector<std::string> arguments{"check", word(lesson.file), "--json"};
    if (listens)
        arguments.emplace_back("--listen");
    RunPlan plan{command("check", "Checking film and sound", lesson, std::move(arguments)), {}};
    plan.command.no_is_an_answer = true;
    plan.command.outcome = [lesson](CommandEnd const& end) { return checked(end, lesson); };
    return plan;
}

Result<CommandOutcome> listened(CommandEnd const& end, RunLesson const& lesson, std::optional<int> part)
{
    LessonFile file = lesson.view->file;
    file.reading.lesson = sketch_of(*lesson.view); // as it was heard: with the parts that have no time yet
    TRY_ASSIGN(std::string result, heard_parts(end.out, file, part));
    return CommandOutcome{{}, std::move(result), "The film was heard"};
}

Result<RunPlan> plan_listen(Asked const& asked, RunLesson const& lesson)
{
    TRY_ASSIGN(auto const part, asked.index("part"));
    TRY_ASSIGN(bool const anywhere, asked.flag("anywhere"));
    std::vector<std::string> arguments{"listen", word(lesson.file), "--dry-run", "--json"};
    if (anywhere)
        arguments.emplace_back("--anywhere");
    RunPlan plan{command("listen", "Listening to the film", lesson, std::move(arguments)), {}};
    plan.command.outcome = [lesson, part](CommandEnd const& end) { return listened(end, lesson, part); };
    return plan;
}

/// A file in the state folder that no other run has, and that is not there.
fs::path between(RunLesson const& lesson)
{
    static std::atomic<unsigned> count = 0;
    fs::path file = lesson.state / fmt::format("run-{}.json", ++count);
    std::error_code ignored;
    fs::remove(file, ignored); // of a desk that was killed
    return file;
}

/// The text of a file that is only between, which goes.
Result<std::string> taken_text(fs::path const& file)
{
    auto text = read_file_text(file, kMostReport);
    std::error_code ignored;
    fs::remove(file, ignored);
    return text;
}

Result<RunPlan> plan_start(RunLesson const& lesson)
{
    fs::path const& film = lesson.view->film.path;
    if (film.empty())
        return wrong("the lesson names no film; choose one first");
    fs::path const proposed = between(lesson);
    std::error_code failed;
    fs::path const beside = fs::proximate(film, folder_of(lesson), failed);
    std::string const named = failed || beside.empty() ? film.string() : beside.string();
    RunPlan plan{command("start", "Listening for where parts begin", lesson,
                         {"start", named.starts_with('-') ? "./" + named : named, "-o", proposed.string()}),
                 {}};
    plan.command.outcome = [lesson, proposed](CommandEnd const&) -> Result<CommandOutcome> {
        TRY_ASSIGN(std::string const text, taken_text(proposed));
        TRY_ASSIGN(std::string result, proposed_parts(text, lesson.view->file));
        return CommandOutcome{{}, std::move(result), "The film was heard"};
    };
    return plan;
}

} // namespace

Result<RunPlan> plan_run(Json const& json, RunLesson const& lesson)
{
    Asked const asked{json};
    TRY_ASSIGN(std::string const kind, asked.text("kind"));
    if (kind == "render")
        return plan_render(asked, lesson);
    if (kind == "switchable")
        return plan_switchable(asked, lesson);
    if (kind == "track")
        return plan_track(asked, lesson);
    if (kind == "sheet")
        return plan_sheet(asked, lesson);
    if (kind == "publish")
        return plan_publish(asked, lesson);
    if (kind == "check")
        return plan_check(asked, lesson);
    if (kind == "listen")
        return plan_listen(asked, lesson);
    if (kind == "start")
        return plan_start(lesson);
    return wrong(fmt::format("the desk has no command '{}'; load the page again", kind));
}

namespace {

/// The cut as a file: one of the folder, or what the page sent.
Result<fs::path> cut_file(Json const& json, RunLesson const& lesson)
{
    static std::atomic<unsigned> count = 0;
    Asked const asked{json};
    TRY_ASSIGN(std::string const name, asked.text("name"));
    TRY_ASSIGN(std::string const text, asked.text("text"));
    if (!json.contains("text")) // an empty list is one too, and not that of the folder
        return file_in(folder_of(lesson), name);
    TRY_VOID(check_plain_name(name, kCutEndings));
    fs::path const cuts = lesson.state / "cuts" / std::to_string(++count); // another of this name may still be read
    TRY_VOID(make_folder(cuts));
    TRY_VOID(write_text(text, cuts / name, Existing::replace, {}));
    return cuts / name;
}

struct CutOutput {
    bool take = false;
    Output lesson;
};

Result<CutOutput> cut_output(Asked const& asked, RunLesson const& lesson)
{
    CutOutput output;
    TRY_ASSIGN(output.take, asked.flag("take"));
    TRY_ASSIGN(output.lesson.force, asked.flag("force"));
    output.lesson.name = stem_of(lesson) + " (new cut).json";
    output.lesson.path = folder_of(lesson) / output.lesson.name;
    TRY_ASSIGN(AtOutput const there, look_at_output(output.lesson.path, inputs_of(lesson)));
    if (output.take && there == AtOutput::folder)
        return wrong(fmt::format("'{}' is a folder; give it another name first", output.lesson.name));
    if (output.take && there == AtOutput::file && !output.lesson.force)
        output.lesson.exists = output.lesson.name;
    return output;
}

} // namespace

Result<RunPlan> plan_cut(Json const& json, RunLesson const& lesson)
{
    Asked const asked{json};
    TRY_ASSIGN(fs::path const cut, cut_file(json, lesson));
    TRY_ASSIGN(std::string const footage, asked.text("footage"));
    TRY_ASSIGN(CutOutput const output, cut_output(asked, lesson));
    bool const is_list = check_plain_name(cut.filename().string(), kCutEndings).has_value();
    bool const sent = cut.parent_path() != folder_of(lesson);
    fs::path const report = between(lesson);
    std::vector<std::string> arguments{"retime",   word(lesson.file), "--by", sent ? cut.string() : word(cut),
                                       "--report", report.string()};
    std::string film = footage;
    if (!footage.empty()) {
        TRY_ASSIGN(fs::path const new_film, file_in(folder_of(lesson), footage));
        arguments.insert(arguments.end(), {"--footage", word(new_film)});
    } else if (!is_list) {
        film = cut.filename().string(); // the cut is given as the new film
    }
    if (output.take)
        arguments.insert(arguments.end(), {"-o", output.lesson.name});
    if (output.lesson.force)
        arguments.emplace_back("--force");
    RunPlan plan{command("cut", fmt::format("Following {}", cut.filename().string()), lesson, std::move(arguments)),
                 output.lesson.exists};
    plan.command.unsaid = sent ? cut.parent_path().string() + "/" : "";
    plan.command.heavy = !is_list; // sound is compared with sound
    plan.command.outcome = [report, output, film](CommandEnd const& end) -> Result<CommandOutcome> {
        TRY_ASSIGN(std::string const text, taken_text(report));
        TRY_ASSIGN(std::string result, cut_rows(text, end.err, output.take ? output.lesson.name : "", film));
        CommandOutcome outcome{{}, std::move(result), "Nothing is changed yet"};
        if (output.take) {
            outcome.made.push_back({output.lesson.name, output.lesson.path});
            outcome.what = fmt::format("Wrote {}", output.lesson.name);
        }
        return outcome;
    };
    return plan;
}

} // namespace tabard::pipeline
