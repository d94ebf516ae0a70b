#include "cli/cut_options.h"

#include <CLI/CLI.hpp>

namespace tabard::cli {

namespace {

constexpr char const* kGroup = "How the film was cut again";

} // namespace

CLI::Option* add_cut_options(CLI::App& command, std::string const& name, std::string const& help,
                             pipeline::CutRequest& request)
{
    CLI::Option* const cut = command.add_option(name, request.cut, help)->group(kGroup);
    // Without the cut they would do nothing, in silence.
    auto const about_cut = [cut](CLI::Option* option) { option->group(kGroup)->needs(cut); };
    about_cut(command.add_option(
        "--reel", request.reel,
        "the reel or media name of the footage in the cut, if the name of the file does not say it"));
    about_cut(command.add_option("--rate", request.rate,
                                 "frames per second of an edit list's labels, e.g. 29.97 (default: the footage's)"));
    about_cut(command.add_option("--source-start", request.source_start,
                                 "label of the footage's first frame in the cut, e.g. 10:00:00:00 (default: what the "
                                 "cut or the footage says, else zero)"));
    about_cut(command.add_option("--record-start", request.record_start,
                                 "label of the new film's first frame in an edit list (default: its earliest event)"));
    about_cut(
        command.add_option("--old", request.old_film, "the film before the cut, where the cue file does not name it"));
    about_cut(command.add_flag("--lenient", request.lenient,
                               "where an edit list's source and record lengths disagree, take the record side"));
    return cut;
}

void add_lesson_options(CLI::App& command, pipeline::LessonRequest& request)
{
    command.add_option("CUES", request.cues, "the cue file")->required();
    CLI::Option* const cut = add_cut_options(
        command, "--through", "look at the lesson through this cut: an edit list (.edl, .otio, .csv)", request.through);
    command.add_option("--footage", request.footage, "the film after that cut")->group(kGroup)->needs(cut);
}

} // namespace tabard::cli
