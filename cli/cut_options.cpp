#include "cli/cut_options.h"

#include "cli/interrupt.h"
#include "pipeline/match/match_cut.h"
#include "pipeline/media/read/probe.h"
#include "pipeline/time/timecode.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace tabard::cli {

bool names_film(CutArguments const& arguments)
{
    return !pipeline::is_cut_list(arguments.cut) && pipeline::probe_film(arguments.cut).has_value();
}

void add_cut_options(CLI::App& command, std::string const& name, std::string const& help, CutArguments& arguments)
{
    std::string const group = "How the film was cut again";
    command.add_option(name, arguments.cut, help)->group(group);
    command
        .add_option("--reel", arguments.reel,
                    "which reel or media of the cut is the footage, where that is not plain from its name")
        ->group(group);
    command
        .add_option("--rate", arguments.rate,
                    "frames per second of an edit list's labels, e.g. 29.97 (default: the footage's)")
        ->group(group);
    command
        .add_option("--source-start", arguments.source_start,
                    "label of the footage's first picture in the cut, e.g. 10:00:00:00 (default: what the cut "
                    "or the footage says, else zero)")
        ->group(group);
    command
        .add_option("--record-start", arguments.record_start,
                    "label of the new film's first picture in an edit list (default: its earliest event)")
        ->group(group);
    command.add_option("--old", arguments.old_film, "the film before the cut, where the cue file does not name it")
        ->group(group);
    command
        .add_flag("--lenient", arguments.lenient,
                  "where an edit list's source and record lengths disagree, take the record side")
        ->group(group);
}

namespace {

/// A film instead of a list: what is kept is heard, or seen.
Result<pipeline::CutReading> cut_by_film(CutArguments const& arguments, OldFilm const& film)
{
    auto const& old = arguments.old_film.empty() ? film.path : arguments.old_film;
    auto const rate = film.rate.value_or(pipeline::FrameRate{});
    TRY_ASSIGN(auto matched, pipeline::match_cut(old, arguments.cut, rate, interrupt_token()));
    pipeline::CutReading reading;
    reading.map = std::move(matched.map);
    reading.new_length = matched.new_length;
    reading.remarks = std::move(matched.remarks);
    reading.remarks.insert(reading.remarks.begin(),
                           fmt::format("found by {}: {} pieces, {:.0f} % of the new film comes from the old one",
                                       matched.by == pipeline::Evidence::sound ? "sound" : "pictures",
                                       reading.map.spans().size(), 100 * matched.kept_share));
    return reading;
}

} // namespace

Result<pipeline::CutReading> read_cut(CutArguments const& arguments, OldFilm const& film)
{
    if (names_film(arguments))
        return cut_by_film(arguments, film);
    pipeline::CutOptions options;
    options.rate = film.rate;
    if (!arguments.rate.empty()) {
        TRY_ASSIGN(options.rate, pipeline::parse_frame_rate(arguments.rate));
    }
    options.source = arguments.reel;
    options.footage = film.path.filename().string();
    options.footage_length = film.length;
    options.footage_label = film.first_label;
    options.source_start = arguments.source_start;
    options.record_start = arguments.record_start;
    options.lenient = arguments.lenient;
    return pipeline::read_cut(arguments.cut, options);
}

} // namespace tabard::cli
