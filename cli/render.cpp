#include "cli/allowance_options.h"
#include "cli/command.h"
#include "cli/film_options.h"
#include "cli/interrupt.h"
#include "cli/output_options.h"
#include "cli/plan_json.h"
#include "cli/progress.h"
#include "cli/terminal_text.h"
#include "cli/values.h"
#include "cli/watch.h"
#include "pipeline/files/file_text.h"
#include "pipeline/files/output_folder.h"
#include "pipeline/media/read/film_flaws.h"
#include "pipeline/publish/chapters.h"
#include "pipeline/render/film_plan.h"
#include "pipeline/render/film_share.h"
#include "pipeline/render/group_cache.h"
#include "pipeline/render/overlay_film.h"
#include "pipeline/render/planned_groups.h"
#include "pipeline/render/switchable_film.h"
#include "pipeline/render/what_changed.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <memory>
#include <tuple>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace tabard::cli {
namespace {

namespace fs = std::filesystem;
using pipeline::FilmJob;
using pipeline::Method;

struct RenderOptions {
    FilmOptions film;
    std::string output;
    bool force = false;
    std::string codec;
    std::optional<int> crf;
    std::optional<std::string> preset;
    std::string from;
    std::string to;
    bool keep_location = false;
    bool chapters = false;
    bool plan = false;
    bool json = false;
    bool whole = false;
    bool copy_only_safe = false;
    bool no_cache = false;
    AllowanceOptions allowance;
    bool draft = false;
    bool watch = false;
    bool overlay_only = false;
    std::string overlay_codec;
    bool switchable = false;
    std::string share;
    std::string plan_file;
};

constexpr int kDraftSide = 640; // the longer side of a draft, at most
constexpr int kDraftCrf = 28;

pipeline::SizePx draft_size(pipeline::SizePx stored)
{
    int const divisor = std::max(1, (std::max(stored.width, stored.height) + kDraftSide - 1) / kDraftSide);
    return {std::max(64, stored.width / divisor / 2 * 2), std::max(64, stored.height / divisor / 2 * 2)};
}

void set_part(RenderOptions const& options, pipeline::MediaInfo const& footage, pipeline::WriteOptions& write,
              Console const& console)
{
    if (!options.from.empty()) {
        write.from = option_value(parse_picture_time(options.from, footage, "--from"));
    }
    if (!options.to.empty()) {
        write.to = option_value(parse_film_time(options.to, footage, "--to"));
        if (*write.to <= write.from)
            refuse_command_line("--to must be later than --from");
        pipeline::Time const end = footage.video->start + footage.video->duration;
        if (*write.to > end)
            console.note(fmt::format("--to: at '{}' the film is over: it is written to its end, {}", options.to,
                                     pipeline::print_time(end)));
    }
}

Result<void> set_encoder(RenderOptions const& options, FilmJob& job, pipeline::MediaInfo const& footage)
{
    pipeline::WriteOptions& write = job.write;
    write.container = option_value(pipeline::container_for(options.output.empty() ? "film.mp4" : options.output));
    write.encoder.codec = pipeline::default_codec(write.container, footage.video->layout);
    if (!options.codec.empty())
        write.encoder.codec = option_value(pipeline::parse_codec(options.codec));
    write.encoder.crf = options.crf;
    write.encoder.preset = options.preset;
    if (options.draft) {
        job.scaled = draft_size(footage.video->stored);
        write.encoder.preset = options.preset.value_or(std::string(pipeline::fastest_preset(write.encoder.codec)));
        write.encoder.crf = options.crf.value_or(kDraftCrf);
    }
    auto const checked = pipeline::check_settings(write.encoder, write.container);
    if (!checked && checked.error().kind == ErrorKind::invalid_input)
        refuse_command_line(checked.error().what);
    return checked;
}

Method method_of(RenderOptions const& options)
{
    return options.whole || options.draft ? Method::whole
           : options.copy_only_safe       ? Method::splice_only
                                          : Method::automatic;
}

std::string printed_bytes(std::int64_t bytes)
{
    return bytes < 10'000'000 ? fmt::format("{:.1f} MB", static_cast<double>(bytes) / 1e6)
                              : fmt::format("{:.0f} MB", static_cast<double>(bytes) / 1e6);
}

std::string printed_kilobytes(std::int64_t bytes) { return fmt::format("{:.0f} kB", static_cast<double>(bytes) / 1e3); }

void print_damage(pipeline::ReadDamage const& damage, fs::path const& footage, Console const& console)
{
    if (std::int64_t const pictures = damage.broken_packets + damage.concealed_pictures; pictures > 0)
        console.note(fmt::format("{} is damaged: {}.", footage.string(), pipeline::words_for_undecoded(pictures)));
    if (damage.repaired_times > 0)
        console.note(fmt::format("{}: {} frame{} had no time or a wrong one, which was set right.", footage.string(),
                                 damage.repaired_times, damage.repaired_times == 1 ? "" : "s"));
    if (damage.cut_short)
        console.note(fmt::format("{}: the file ends in the middle of its data", footage.string()));
}

/// The stretches of the film that a render would encode.
void print_stretches(pipeline::FilmPlanNow const& now, Console const& console)
{
    pipeline::SpliceSource const& source = *now.plan.source;
    for (std::size_t i = 0; i < source.groups.size(); ++i) {
        std::size_t const first = i;
        while (now.is_to_encode(first) && i + 1 < source.groups.size() && now.is_to_encode(i + 1))
            ++i;
        if (now.is_to_encode(first))
            console.print(fmt::format(
                "  {} to {}, {} group{}\n", pipeline::print_time(source.shown_at(source.groups[first].first_picture)),
                pipeline::print_time(pipeline::end_of_group(source, i)), i - first + 1, i == first ? "" : "s"));
    }
}

void print_plan(pipeline::FilmPlanNow const& now, Console const& console)
{
    pipeline::FilmPlan const& plan = now.plan;
    double const whole = pipeline::to_seconds(plan.whole_time);
    if (!plan.source) {
        console.print(fmt::format("encode all of the film, {:.1f} s{}\n", whole,
                                  plan.why_whole.empty() ? "" : ", because " + plan.why_whole));
        return;
    }
    double const to_encode = pipeline::to_seconds(now.time_to_encode());
    std::string const kept = now.cached_groups == 0   ? ""
                             : now.cached_groups == 1 ? " (1 more is in the cache)"
                                                      : fmt::format(" ({} more are in the cache)", now.cached_groups);
    console.print(fmt::format("encode {} of {} groups of pictures{}: {:.1f} s of {:.1f} s, {:.0f} %; copy the rest\n",
                              plan.touched_groups - now.cached_groups, plan.touched.size(), kept, to_encode, whole,
                              100 * to_encode / whole));
    print_stretches(now, console);
    if (now.seconds)
        console.print(fmt::format("about {:.0f} s on this machine, as the last time\n", std::ceil(*now.seconds)));
}

void print_report(pipeline::FilmReport const& report, RenderOptions const& options, fs::path const& footage,
                  double seconds, Console const& console)
{
    for (std::string const& note : report.notes)
        console.note(note);
    print_damage(report.damage, footage, console);
    if (!report.why_whole.empty() && options.from.empty() && options.to.empty())
        console.note(fmt::format("all of the film was encoded, because {}", report.why_whole));
    std::string const groups = report.spliced
                                   ? fmt::format(", {} of {} groups encoded, {} from the cache, {} at once",
                                                 report.encoded, report.groups, report.from_cache, report.at_once)
                                   : "";
    console.note(fmt::format("Wrote {}: {} frames, {} with overlays{}, {}, in {:.1f} s", shell_word(options.output),
                             report.pictures, report.drawn_pictures, groups, printed_bytes(report.bytes), seconds));
}

Result<pipeline::OverlayCodec> overlay_codec(RenderOptions const& options)
{
    return options.overlay_codec.empty() ? pipeline::overlay_codec_for(options.output)
                                         : pipeline::parse_overlay_codec(options.overlay_codec);
}

/// Before the work, as the work itself will check it again.
Result<void> check_output(RenderOptions const& options, pipeline::Inputs const& inputs)
{
    if (options.plan || !options.share.empty())
        return {};
    if (!options.overlay_only) {
        option_value(pipeline::container_for(options.output));
        return check_may_write(options.output, options.force, inputs);
    }
    auto const codec = option_value(overlay_codec(options));
    if (codec != pipeline::OverlayCodec::png)
        return check_may_write(options.output, options.force, inputs);
    TRY_VOID(pipeline::OutputFolder::create(options.output, inputs));
    return {};
}

Result<pipeline::FilmReport> make(RenderOptions const& options, FilmJob& job, Console const& console)
{
    ProgressBar bar(console, options.overlay_only ? "drawing" : "rendering");
    job.progress = [&](double share) { bar.show(share); };
    if (!options.overlay_only)
        return bar.ended(pipeline::render_film(job));
    auto const codec = option_value(overlay_codec(options));
    return bar.ended(pipeline::render_overlay_film(job, codec));
}

/// The lesson's overlays for each kind of viewer. The default is what the lesson or the command line asks for.
std::vector<pipeline::SwitchableTrack> switchable_tracks(RenderOptions const& options, LessonOnFilm const& lesson)
{
    using pipeline::Level;
    auto const& opened = lesson.opened;
    auto const runs_at = [&](Level level) {
        return level == options.film.lesson.level ? pipeline::SceneRuns::of(opened.timeline)
                                                  : pipeline::SceneRuns::of(pipeline::Timeline::resolve(
                                                        opened.lesson, opened.timeline.facts(), {level}));
    };
    bool const left_handed_lesson = *opened.lesson.left_handed;
    bool const other_hand = lesson.look.stage.left_handed != left_handed_lesson;
    Level const level = options.film.lesson.level;
    auto const look = [&](bool left_handed) {
        pipeline::Look of_hand = lesson.look;
        of_hand.stage.left_handed = left_handed;
        return of_hand;
    };
    return {
        {"Full shapes", runs_at(Level::full), look(left_handed_lesson), !other_hand && level == Level::full},
        {"Easy shapes", runs_at(Level::easy), look(left_handed_lesson), !other_hand && level == Level::easy},
        {left_handed_lesson ? "Right-handed" : "Left-handed", runs_at(level), look(!left_handed_lesson), other_hand}};
}

void print_switchable(pipeline::SwitchableReport const& report, RenderOptions const& options, double seconds,
                      Console const& console)
{
    for (std::string const& note : report.notes)
        console.note(note);
    std::int64_t added = report.font_bytes;
    std::string tracks;
    for (auto const& track : report.tracks) {
        added += track.bytes;
        tracks += fmt::format("{}{}{} ({} drawings)", tracks.empty() ? "" : ", ", track.title,
                              track.shown_by_default ? ", the default" : "", track.events);
    }
    console.note(fmt::format("Wrote {}: {} frames copied, {} of overlays a viewer can switch: {}; {}, in {:.1f} s",
                             shell_word(options.output), report.pictures, printed_kilobytes(added), tracks,
                             printed_bytes(report.bytes), seconds));
}

Result<void> run_switchable(RenderOptions const& options, LessonOnFilm const& lesson,
                            pipeline::Workspace const& workspace, std::chrono::steady_clock::time_point begin,
                            Console const& console)
{
    if (options.plan) {
        pipeline::Time const whole = lesson.film().video->duration;
        console.print(options.json ? copy_plan_json(whole)
                                   : fmt::format("copy all of the film, {:.1f} s; encode nothing\n",
                                                 pipeline::to_seconds(whole)));
        return {};
    }
    pipeline::SwitchableJob job;
    job.footage = lesson.film().path;
    job.video = lesson.film().video;
    job.target = options.output;
    job.inputs = workspace.inputs();
    job.tracks = switchable_tracks(options, lesson);
    job.existing = existing(options.force);
    if (!options.no_cache)
        job.cache = pipeline::GroupCache::default_folder();
    job.write.stop = interrupt_token();
    job.write.location = options.keep_location ? pipeline::Location::keep : pipeline::Location::drop;
    if (options.chapters)
        job.write.chapters = pipeline::chapters_of(lesson.opened.lesson, lesson.opened.timeline);
    auto const made = [&] {
        ProgressBar bar(console, "copying");
        job.progress = [&](double share) { bar.show(share); };
        return bar.ended(pipeline::render_switchable(job));
    };
    TRY_ASSIGN(auto const report, made());
    std::chrono::duration<double> const seconds = std::chrono::steady_clock::now() - begin;
    print_switchable(report, options, seconds.count(), console);
    return {};
}

Result<std::optional<pipeline::ExpectedKeys>> expected_keys(std::string const& plan_file)
{
    constexpr std::size_t kMostBytes = 100'000'000;
    if (plan_file.empty())
        return std::optional<pipeline::ExpectedKeys>{};
    TRY_ASSIGN(std::string const text, pipeline::read_file_text(plan_file, kMostBytes));
    return parse_plan(text, plan_file);
}

Result<void> run_share(RenderOptions const& options, FilmJob& job, std::chrono::steady_clock::time_point begin,
                       Console const& console)
{
    pipeline::Share const share = option_value(pipeline::parse_share(options.share));
    TRY_ASSIGN(auto const expected, expected_keys(options.plan_file));
    pipeline::ShareReport report;
    {
        ProgressBar bar(console, "encoding");
        job.progress = [&](double done) { bar.show(done); };
        TRY_ASSIGN(report, bar.ended(pipeline::render_share(job, share, expected)));
    }
    std::chrono::duration<double> const seconds = std::chrono::steady_clock::now() - begin;
    console.note(fmt::format("share {} of {}: {} of {} groups, {} encoded ({}), {} were in the cache '{}', in {:.1f} s",
                             share.number, share.of, report.groups, report.touched, report.encoded,
                             printed_bytes(report.bytes), report.from_cache, job.cache->string(), seconds.count()));
    return {};
}

Result<void> run(RenderOptions const& options, Console const& console)
{
    auto const begin = std::chrono::steady_clock::now();
    if (!options.share.empty())
        option_value(pipeline::parse_share(options.share));
    FilmJob job;
    job.stop = interrupt_token();
    pipeline::Workspace workspace{job.stop};
    if (options.switchable && !options.output.empty())
        option_value(pipeline::check_switchable(options.output));
    FilmOptions film = options.film;
    film.lesson.may_write = [&options](pipeline::Inputs const& inputs) { return check_output(options, inputs); };
    film.without_chords = options.plan ? WithoutChords::show : WithoutChords::refuse;
    film.facts = options.no_cache ? KnownFacts::look_anew : KnownFacts::keep;
    TRY_ASSIGN(LessonOnFilm const lesson, load(film, workspace, console));
    if (!lesson.theme_note.empty())
        console.note(lesson.theme_note);
    if (options.switchable)
        return run_switchable(options, lesson, workspace, begin, console);
    job.footage = lesson.film().path;
    job.target = options.output;
    job.inputs = workspace.inputs();
    job.runs = pipeline::SceneRuns::of(lesson.opened.timeline);
    job.look = lesson.look;
    job.existing = existing(options.force);
    job.method = method_of(options);
    TRY_ASSIGN(job.allowance, allowance(options.allowance));
    if (!options.no_cache)
        job.cache = pipeline::GroupCache::default_folder();
    job.write.location = options.keep_location ? pipeline::Location::keep : pipeline::Location::drop;
    if (options.chapters)
        job.write.chapters = pipeline::chapters_of(lesson.opened.lesson, lesson.opened.timeline);
    set_part(options, lesson.film(), job.write, console);
    if (!options.overlay_only)
        TRY_VOID(set_encoder(options, job, lesson.film()));
    if (options.plan) {
        using pipeline::Lookup;
        TRY_ASSIGN(auto const plan,
                   pipeline::plan_now(job, options.json ? Lookup::always : Lookup::where_any_is_cached));
        options.json ? console.print(plan_json(plan)) : print_plan(plan, console);
        return {};
    }
    if (!options.share.empty())
        return run_share(options, job, begin, console);
    TRY_ASSIGN(pipeline::FilmReport const report, make(options, job, console));
    std::chrono::duration<double> const seconds = std::chrono::steady_clock::now() - begin;
    print_report(report, options, job.footage, seconds.count(), console);
    return {};
}

/// At most what is drafted within two seconds.
constexpr pipeline::Time kLongestDraft = pipeline::from_ticks(10, 1, 1);
constexpr pipeline::Time kBeside = pipeline::from_ticks(2, 1, 1); ///< drafted before and after what changed

/// What a viewer would see, to be compared with what it was before.
struct Shown {
    pipeline::SceneRuns runs;
    overlay::Theme theme;
    overlay::Stage stage;
    fs::path film;
};

/// Within `film`; none where nothing is to be seen.
std::optional<pipeline::Interval> to_draft(std::optional<Shown> const& before, Shown const& now, pipeline::Time film)
{
    auto changed = before ? pipeline::what_changed(before->runs, now.runs) : std::nullopt;
    bool const other_look =
        !before || std::tie(before->theme, before->stage, before->film) != std::tie(now.theme, now.stage, now.film);
    if (auto const& all = now.runs.all(); !changed && other_look && !all.empty())
        changed = pipeline::Interval{all.front().in, all.back().out};
    if (!changed)
        return std::nullopt;
    pipeline::Time const from =
        std::clamp(changed->from - kBeside, pipeline::Time{0}, std::max(film - kBeside, pipeline::Time{0}));
    return pipeline::Interval{from, std::min({changed->to + kBeside, from + kLongestDraft, film})};
}

/// A draft of what the last change of the cue file changed.
class DraftWatch {
public:
    DraftWatch(RenderOptions const& options, Console const& console) : m_options(options), m_console(console)
    {
        m_draft.draft = true;
    }

    /// Gives the files that it read.
    pipeline::Inputs look()
    {
        pipeline::Workspace workspace{interrupt_token()};
        Console silent = m_console;
        silent.quiet = true; // the draft says the same
        auto const lesson = load(m_options.film, workspace, silent);
        if (auto const done = lesson ? draft(*lesson) : Result<void>(lesson.error()); !done)
            fail(m_console, done.error());
        return workspace.inputs();
    }

private:
    Result<void> draft(LessonOnFilm const& lesson)
    {
        Shown now{pipeline::SceneRuns::of(lesson.opened.timeline), lesson.look.theme, lesson.look.stage,
                  lesson.film().path};
        auto const span = to_draft(m_before, now, lesson.film().duration);
        if (!span) {
            m_console.note("Nothing that is seen has changed.");
            return {};
        }
        if (m_options.from.empty() && m_options.to.empty()) {
            m_draft.from = fmt::format("{:.3f}", pipeline::to_seconds(span->from));
            m_draft.to = fmt::format("{:.3f}", pipeline::to_seconds(span->to));
            m_console.note(
                fmt::format("From {} to {}:", pipeline::print_time(span->from, 1), pipeline::print_time(span->to, 1)));
        }
        TRY_VOID(run(m_draft, m_console));
        m_draft.force = true; // it is ours from now on
        m_before = std::move(now);
        return {};
    }

    RenderOptions m_options;
    RenderOptions m_draft = m_options;
    Console const& m_console;
    std::optional<Shown> m_before; ///< in the last draft
};

ExitCode watch_render(RenderOptions const& options, Console const& console)
{
    if (auto const free = check_output(options, {options.film.lesson.cues}); !free)
        return fail(console, free.error());
    DraftWatch drafts{options, console};
    return watch(options.film.lesson.cues, console, [&] { return drafts.look(); });
}

void add_encoder_options(CLI::App& command, RenderOptions& options)
{
    command.add_option("--codec", options.codec,
                       "h264, hevc, vp9 or av1; if not given h264, for 10-bit footage hevc, for WebM vp9");
    command.add_option("--crf", options.crf, "Constant quality: a lower number is better and larger");
    command.add_option("--preset", options.preset, "The encoder's own speed word, such as veryfast or slow");
    command.add_flag("--keep-location", options.keep_location, "Keep the place of filming that a phone noted down");
}

void add_method_options(CLI::App& command, RenderOptions& options)
{
    auto* const plan = command.add_flag(
        "--plan", options.plan, "Print what would be encoded now and what the cache has already, and render nothing");
    command
        .add_flag("--json", options.json,
                  "Print the plan for a program, with the key, size and cache state of each touched group")
        ->needs(plan);
    auto* const whole = command.add_flag("--whole", options.whole, "Encode all of the film");
    command
        .add_flag("--copy-only-safe", options.copy_only_safe,
                  "Fail if the film cannot be copied where there is no overlay, instead of encoding all of it")
        ->excludes(whole);
    command.add_flag("--no-cache", options.no_cache, "Neither use nor keep encoded groups of pictures");
    command.add_flag("--draft", options.draft, "Small and fast, for a look");
}

void add_overlay_options(CLI::App& command, RenderOptions& options)
{
    auto* const only = command.add_flag("--overlay-only", options.overlay_only,
                                        "The overlays alone, with transparency (straight alpha), to lay over the "
                                        "footage in an editing program: .mov, .webm, or a folder of PNG files");
    command
        .add_option("--overlay-codec", options.overlay_codec, "prores (.mov), rle (.mov, lossless), vp9 (.webm) or png")
        ->needs(only);
}

void add_switchable_option(CLI::App& command, RenderOptions& options)
{
    auto* const switchable = command.add_flag(
        "--switchable", options.switchable,
        "Encode nothing: copy the film into a .mkv file and put every layer of the overlays beside it as subtitle "
        "tracks "
        "(full shapes, easy shapes, left-handed) that the viewer switches on and off. Needs a player that draws "
        "Advanced SubStation Alpha. While a card fades, its parts fade each for itself");
    for (char const* const other : {"--overlay-only", "--overlay-codec", "--whole", "--copy-only-safe", "--draft",
                                    "--from", "--to", "--codec", "--crf", "--preset"})
        switchable->excludes(command.get_option(other));
}

void add_share_options(CLI::App& command, RenderOptions& options)
{
    auto* const share = command.add_option(
        "--share", options.share,
        "K/N: encode the K-th of N shares of what overlays touch into the cache and write no film; a render with the "
        "same "
        "options then finds it there. For several machines that share one cache: set TABARD_CACHE to its folder");
    for (char const* const other : {"--output", "--plan", "--no-cache", "--whole", "--draft", "--from", "--to",
                                    "--overlay-only", "--overlay-codec", "--switchable", "--force", "--chapters"})
        share->excludes(command.get_option(other));
    command
        .add_option("--plan-file", options.plan_file,
                    "What --plan --json printed: encode nothing where this machine would make other groups")
        ->needs(share);
}

void add_watch_option(CLI::App& command, RenderOptions& options)
{
    auto* const watching =
        command.add_flag("--watch", options.watch,
                         "Each time the cue file is saved, draft what that has changed (ten seconds at most), or what "
                         "lies between --from and --to");
    for (char const* const other :
         {"--plan", "--share", "--switchable", "--overlay-only", "--whole", "--copy-only-safe"})
        watching->excludes(command.get_option(other));
}

} // namespace

void add_render(CLI::App& program, Context& context)
{
    auto const options = std::make_shared<RenderOptions>();
    CLI::App& command =
        add_command(program, "render", "The film with its overlays",
                    {"tabard render lesson.json -o film.mp4", "tabard render lesson.json --plan",
                     "tabard render lesson.json --draft --from 0:52 --to 1:10 -o look.mp4",
                     "tabard render lesson.json --overlay-only -o track.mov",
                     "tabard render lesson.json --switchable -o film.mkv", "tabard render lesson.json --share 2/4"});
    add_film_options(command, options->film);
    command.add_option("-o,--output", options->output, "The film to write: .mp4, .mov, .mkv or .webm");
    command.add_flag("-f,--force", options->force, "Replace an existing file");
    command.add_flag("--chapters", options->chapters,
                     "The lesson's parts as chapters of the film, in place of the footage's (MP4 keeps no ends)");
    command.add_option("--from", options->from, "Begin at this time of the footage");
    command.add_option("--to", options->to, "End at this time of the footage");
    add_method_options(command, *options);
    add_overlay_options(command, *options);
    add_encoder_options(command, *options);
    add_switchable_option(command, *options);
    add_share_options(command, *options);
    add_allowance_options(command, options->allowance);
    add_watch_option(command, *options);
    command.callback([options, &context] {
        if (options->output.empty() && !options->plan && options->share.empty())
            throw CLI::RequiredError("--output");
        if (options->watch)
            context.exit = watch_render(*options, context.console);
        else if (auto const done = run(*options, context.console); !done)
            context.exit = fail(context.console, done.error());
    });
}

} // namespace tabard::cli
