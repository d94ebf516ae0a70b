#include "cli/start.h"

#include "cli/interrupt.h"
#include "cli/output_options.h"
#include "cli/program.h"
#include "cli/progress.h"
#include "cli/terminal_text.h"
#include "cli/values.h"
#include "pipeline/cues/chord_annotations.h"
#include "pipeline/cues/next_command.h"
#include "pipeline/cues/starter.h"
#include "pipeline/cues/writer.h"
#include "pipeline/files/file_text.h"
#include "pipeline/listen/hear_film.h"
#include "pipeline/listen/propose_sections.h"
#include "pipeline/media/read/fingerprint.h"
#include "pipeline/time/timecode.h"
#include "pipeline/workspace/workspace.h"

#include <algorithm>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace tabard::cli {

namespace {

namespace fs = std::filesystem;

struct StartOptions {
    fs::path footage;
    fs::path output;
    fs::path chords; ///< published annotations to begin with
    bool force = false;
    bool plain = false;
};

/// The film's own title, else its name.
std::string title_of(pipeline::MediaInfo const& film, Console const& console)
{
    auto const found = std::ranges::find(film.tags, "title", &std::pair<std::string, std::string>::first);
    std::string const title = found == film.tags.end() ? "" : pipeline::starter_title(found->second);
    if (title.empty())
        return pipeline::starter_title(film.path.stem().string());
    if (title != found->second)
        console.note(fmt::format("the film's title holds what no title of a lesson can; it is now \"{}\"", title));
    return title;
}

/// What comes after the cue file was written: without sound there is nothing to listen to, and chords that were given
/// have their times.
enum class Next { listen, time_by_hand, check };

/// What the sound suggests, and what is heard in one line. Footage without usable sound gets no sections: that is no
/// failure, but it is said.
std::vector<pipeline::StarterSection> heard_sections(pipeline::MediaInfo const& film, pipeline::Time duration,
                                                     Next& next, Console const& console)
{
    ProgressBar bar(console, "Listening");
    auto const heard =
        bar.ended(pipeline::hear_film(film.path, interrupt_token(), [&bar](double share) { bar.show(share); }));
    if (!heard) {
        if (heard.error().kind != ErrorKind::interrupted)
            console.note(fmt::format("{}, so no parts can be found in it", heard.error().what));
        next = Next::time_by_hand;
        return {};
    }
    auto sections = pipeline::propose_sections(*heard, duration);
    auto const played = std::ranges::count(sections, true, &pipeline::StarterSection::played);
    auto const talk = std::ssize(sections) - played;
    if (played == 0)
        console.note("No guitar is heard in the sound. If one plays, write its parts into the cue file.");
    else
        console.note(fmt::format(
            "Heard {} part{} that {} played{}", played, played == 1 ? "" : "s", played == 1 ? "is" : "are",
            talk == 0 ? "" : fmt::format(", and talk {}", talk == 1 ? "once" : fmt::format("{} times", talk))));
    return sections;
}

/// The chords that the author has already, in the film. What is not as the file has it is said, a line each up to ten.
Result<std::vector<pipeline::AnnotatedChord>> annotated_chords(fs::path const& file, pipeline::Starter const& starter,
                                                               Console const& console)
{
    constexpr std::size_t kMostSaid = 10;
    TRY_ASSIGN(auto const bytes, pipeline::read_file_text(file, pipeline::kMostAnnotationBytes));
    auto const line = [&](pipeline::AnnotationRemark const& said) {
        return fmt::format("{}:{}:{}: {}", file.string(), said.at.line, said.at.column, said.what);
    };
    constexpr std::int64_t kFewestPictures = 10; // fewer are an error of check: too-short
    auto const read = pipeline::parse_chord_annotations(bytes, {starter.first_picture, starter.duration},
                                                        pipeline::from_frame(kFewestPictures, starter.rate));
    if (!read) {
        std::string what;
        auto const& errors = read.error().errors;
        for (std::size_t i = 0; i < std::min(errors.size(), kMostSaid); ++i)
            what += (what.empty() ? "" : "\n") + line(errors[i]);
        if (errors.size() > kMostSaid)
            what += fmt::format("\nand {} more", errors.size() - kMostSaid);
        return Error{ErrorKind::invalid_input, what};
    }
    for (std::size_t i = 0; i < std::min(read->remarks.size(), kMostSaid); ++i)
        console.note("warning: " + line(read->remarks[i]));
    if (read->remarks.size() > kMostSaid)
        console.note(fmt::format("warning: {}: and {} more", file.string(), read->remarks.size() - kMostSaid));
    return read->chords;
}

Result<Next> start(StartOptions const& options, Console const& console)
{
    pipeline::Workspace workspace{interrupt_token()};
    workspace.add_input(options.footage);
    workspace.add_input(options.chords);
    TRY_ASSIGN(auto file, pipeline::OutputFile::create(options.output, existing(options.force), workspace.inputs()));
    TRY_ASSIGN(pipeline::MediaInfo const film, workspace.headers(options.footage));
    pipeline::Starter starter;
    starter.title = title_of(film, console);
    starter.footage = name_beside(options.footage, options.output);
    auto const facts = pipeline::facts_of(film);
    starter.first_picture = facts.first_picture;
    starter.duration = facts.duration;
    starter.rate = facts.rate;
    TRY_ASSIGN(starter.fingerprint, pipeline::footage_fingerprint(options.footage));
    Next next = Next::listen;
    if (!options.chords.empty()) {
        TRY_ASSIGN(starter.chords, annotated_chords(options.chords, starter, console));
        next = Next::check;
    } else if (!options.plain)
        starter.sections = heard_sections(film, starter.duration, next, console);
    TRY_VOID(check_not_interrupted());
    TRY_ASSIGN(auto const document, pipeline::starter_document(starter));
    TRY_VOID(file.write(pipeline::document_text(document)));
    TRY_VOID(file.commit());
    for (std::string const& note : film.notes)
        console.note(fmt::format("{}: {}", options.footage.string(), note));
    console.note(fmt::format("{}: {} by {}, {}, {} frames a second{}", options.footage.string(),
                             film.video->displayed.width, film.video->displayed.height,
                             pipeline::print_time(starter.duration, 1), pipeline::print_frame_rate(starter.rate),
                             film.video->variable_rate ? " (varying)" : ""));
    return next;
}

} // namespace

Result<void> start_lesson(fs::path const& footage, fs::path const& output, Console const& console)
{
    if (auto const started = start({footage, output, {}, false, true}, console); !started)
        return started.error();
    console.note(fmt::format("Wrote {}.", shell_word(output.string())));
    return {};
}

void add_start(CLI::App& program, Context& context)
{
    auto options = std::make_shared<StartOptions>();
    CLI::App& command = add_command(program, "start", "Write a starter cue file for this footage",
                                    {"tabard start lesson.mp4 -o lesson.json", "tabard start phone/take3.mov",
                                     "tabard start lesson.mp4 --chords lesson.lab"});
    command.add_option("FOOTAGE", options->footage, "the filmed lesson")->required();
    command.add_option("-o,--output", options->output, "the cue file to write (default: FOOTAGE's name with .json)")
        ->check(name_with_ending({".json"}, "a cue file"));
    command
        .add_option("--chords", options->chords,
                    "published chord annotations to begin with: start, end and label a line (.lab)")
        ->type_name("FILE");
    command.add_flag("--plain", options->plain, "do not listen to the sound for where parts begin");
    command.add_flag("-f,--force", options->force, "replace the cue file if it is there");
    command.callback([options, &context] {
        if (options->output.empty())
            options->output = fs::path(options->footage).replace_extension(".json");
        if (auto const done = start(*options, context.console); !done)
            context.exit = fail(context.console, done.error());
        else if (*done == Next::check)
            context.console.wrote(options->output, "tabard check");
        else if (*done == Next::time_by_hand)
            context.console.note(fmt::format("Wrote {}. Next: write the parts into it with \"from\", \"tempo\" and "
                                             "\"bars\", then: tabard check {}",
                                             shell_word(options->output.string()),
                                             shell_word(options->output.string())));
        else
            context.console.note(fmt::format("Wrote {}. Next: write the chords of each part into it, then: {}",
                                             shell_word(options->output.string()),
                                             pipeline::listen_command(options->output)));
    });
}

} // namespace tabard::cli
