#include "pipeline/desk/desk.h"

#include "cli/interrupt.h"
#include "cli/program.h"
#include "cli/start.h"
#include "cli/terminal_text.h"
#include "cli/theme_input.h"
#include "cli/values.h"
#include "overlay/base/small_letters.h"
#include "pipeline/desk/desk_routes.h"
#include "pipeline/desk/file/state_folder.h"
#include "pipeline/desk/runs/run_answers.h"
#include "pipeline/desk/server/browser.h"
#include "pipeline/desk/server/server.h"
#include "pipeline/files/file_text.h"
#include "pipeline/timeline/placement.h"

#include <chrono>
#include <cstdlib>
#include <thread>

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <malloc.h>

namespace tabard::cli {
namespace {

namespace fs = std::filesystem;

struct DeskCommand {
    fs::path lesson;
    int port = 0;
    bool no_browser = false;
};

bool is_there(fs::path const& file)
{
    std::error_code failed;
    return fs::exists(file, failed);
}

struct CueFile {
    fs::path path;
    bool begun = false; ///< a moment ago: of its parts nothing is written
};

/// A cue file by whatever name.
bool begins_an_object(fs::path const& file)
{
    constexpr std::size_t kEnough = 64;
    auto const sample = pipeline::sample_file(file, kEnough);
    auto const first = sample ? sample->stretches[0].find_first_not_of(" \t\r\n\xef\xbb\xbf") : std::string::npos;
    return first != std::string::npos && sample->stretches[0][first] == '{';
}

/// The cue file: as named, or that of a film, which is begun where it is not there.
Result<CueFile> cue_file_of(fs::path const& named, Console const& console)
{
    if (small_letters(named.extension().string()) == ".json" || begins_an_object(named))
        return CueFile{named};
    fs::path cues = fs::path(named).replace_extension(".json");
    bool const begun = !is_there(cues);
    if (begun)
        TRY_VOID(start_lesson(named, cues, console));
    return CueFile{std::move(cues), begun};
}

/// The overlays of the lesson look at the desk as in its film.
Result<pipeline::Look> look_of(pipeline::OpenedLesson const& opened)
{
    pipeline::Workspace workspace{interrupt_token()};
    auto const* const film = opened.film.headers ? &*opened.film.headers : nullptr;
    TRY_ASSIGN(auto chosen,
               theme_on_film(opened.lesson, opened.timeline, film, "", KnownFacts::keep, workspace, interrupt_token()));
    return pipeline::Look{std::move(chosen.theme), pipeline::stage_of(opened.lesson)};
}

void show(std::string const& page, fs::path const& state, DeskCommand const& command, Console const& console)
{
    console.print(fmt::format("The desk is open: {}\n", page));
    if (!command.no_browser && !pipeline::open_in_browser(pipeline::door_of(state)))
        console.note("No browser was found; open the address above in one on this machine.");
}

/// Whoever ends the desk does not wait for an answer that takes long: what was changed is on the disk.
void end_soon_after(std::stop_token stop)
{
    std::thread([stop = std::move(stop)] {
        while (!stop.stop_requested())
            std::this_thread::sleep_for(std::chrono::milliseconds{100});
        std::this_thread::sleep_for(std::chrono::milliseconds{800});
        std::_Exit(static_cast<int>(ExitCode::done));
    }).detach();
}

/// Frames of the film come and go on many threads: what holds them goes back to the system at once, and each thread
/// does not keep a heap of its own.
void keep_memory_small()
{
    constexpr int kLarge = 1 << 20;
    mallopt(M_MMAP_THRESHOLD, kLarge);
    mallopt(M_ARENA_MAX, 4);
}

Result<void> run(DeskCommand const& command, Console const& console)
{
    keep_memory_small();
    TRY_ASSIGN(CueFile const file, cue_file_of(command.lesson, console));
    fs::path const& cues = file.path;
    TRY_ASSIGN(auto const readable, pipeline::open_for_reading(cues));
    TRY_ASSIGN(fs::path const states, pipeline::desk_states());
    TRY_ASSIGN(fs::path const state, pipeline::state_folder_of(cues, states));
    TRY_ASSIGN(auto const running, pipeline::page_of_running_desk(state));
    if (running) {
        console.note(fmt::format("A desk has {} open already.", shell_word(cues.string())));
        show(*running, state, command, console);
        return {};
    }
    std::error_code failed;
    fs::path const program = fs::read_symlink("/proc/self/exe", failed);
    TRY_ASSIGN(auto const desk, pipeline::Desk::open({cues, state, program, look_of}));
    auto const routes = pipeline::desk_routes(*desk);
    TRY_ASSIGN(auto server, pipeline::Server::open(routes, *desk, command.port));
    TRY_VOID(desk->announce(server.page()));
    if (file.begun)
        pipeline::propose_parts(routes);
    show(server.page(), state, command, console);
    console.note("Press Ctrl-C here to close it; what was changed is saved already.");
    TRY_VOID(console.finish());
    end_soon_after(interrupt_token());
    server.run(interrupt_token());
    return {};
}

} // namespace

void add_desk(CLI::App& program, Context& context)
{
    auto options = std::make_shared<DeskCommand>();
    CLI::App& command = add_command(program, "desk", "Make the lesson on a page in the browser, on this machine",
                                    {"tabard desk lesson.json", "tabard desk lesson.mp4"});
    command.add_option("LESSON", options->lesson, "the cue file; or a film, whose cue file is begun if it has none")
        ->required();
    command.add_option("--port", options->port, "the port to listen on (default: a free one)")
        ->check(whole_number(1024, 65'535));
    command.add_flag("--no-browser", options->no_browser, "print the address and open no browser");
    command.callback([options, &context] {
        if (auto const done = run(*options, context.console); !done)
            context.exit = fail(context.console, done.error());
    });
}

} // namespace tabard::cli
