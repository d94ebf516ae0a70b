#include "cli/cut_options.h"
#include "cli/film_options.h"
#include "cli/finding_count.h"
#include "cli/interrupt.h"
#include "cli/open_lesson.h"
#include "cli/output_options.h"
#include "cli/program.h"
#include "cli/resources.h"
#include "cli/theme_input.h"
#include "cli/values.h"
#include "overlay/drawing/png.h"
#include "pipeline/check/picture/sights.h"
#include "pipeline/files/file_text.h"
#include "pipeline/files/made_folder.h"
#include "pipeline/media/write/copy_film.h"
#include "pipeline/publish/caption_files.h"
#include "pipeline/publish/chapters.h"
#include "pipeline/publish/lesson_cover.h"
#include "pipeline/publish/read_captions.h"
#include "pipeline/publish/summary.h"
#include "pipeline/render/still.h"
#include "pipeline/time/timecode.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace tabard::cli {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kMostCaptionBytes = 16 << 20;
/// Each section of a template keeps its text: nested deeply, a larger one would take all memory.
constexpr std::size_t kMostTemplateBytes = 64 << 10;

struct PublishArguments {
    pipeline::LessonRequest lesson;
    fs::path folder;
    fs::path embed;       ///< a film that gets the chapters
    fs::path speech;      ///< captions of what is said
    fs::path description; ///< template of the author's own
    std::string theme;
    std::string cover_at;
    bool force = false;
};

/// What lies in the folder in the end, but for a film and what goes with speech.
constexpr std::string_view kFiles[] = {"chapters.txt", "chapters.vtt",    "chapters.ffmeta", "captions.vtt",
                                       "captions.srt", "description.txt", "summary.json",    "cover.png"};

/// Before the work. A folder that is made now is gone again where nothing comes into it.
Result<void> check_folder(PublishArguments const& arguments, std::optional<pipeline::MadeFolder>& made,
                          pipeline::Inputs const& inputs)
{
    TRY_ASSIGN(made, pipeline::MadeFolder::create(arguments.folder));
    for (std::string_view const name : kFiles)
        TRY_VOID(check_may_write(arguments.folder / name, arguments.force, inputs));
    if (!arguments.embed.empty())
        TRY_VOID(check_may_write(arguments.folder / arguments.embed.filename(), arguments.force, inputs));
    return {};
}

/// Files of one folder, which appear together when all are whole.
class FolderWriter {
public:
    FolderWriter(PublishArguments const& arguments, pipeline::Workspace const& workspace)
        : m_folder(arguments.folder), m_files(existing(arguments.force), workspace.inputs())
    {
    }
    Result<void> write(fs::path const& name, std::string_view bytes) { return m_files.write(noted(name), bytes); }
    /// For what writes by itself.
    Result<pipeline::OutputFile> create(fs::path const& name) const { return m_files.create(m_folder / name); }
    void add(fs::path const& name, pipeline::OutputFile file)
    {
        noted(name);
        m_files.add(std::move(file));
    }
    Result<void> commit(Console const& console)
    {
        TRY_VOID(check_not_interrupted());
        TRY_VOID(m_files.commit());
        for (fs::path const& path : m_paths)
            console.wrote(path);
        return {};
    }

private:
    fs::path noted(fs::path const& name) { return m_paths.emplace_back(m_folder / name); }

    fs::path m_folder;
    pipeline::OutputFiles m_files;
    std::vector<fs::path> m_paths;
};

Result<std::string> read_text(fs::path const& file, std::size_t most, pipeline::Workspace& workspace)
{
    workspace.add_input(file);
    return pipeline::read_file_text(file, most);
}

/// What is said, where the author has it. What is left out of it is said, a line each up to ten.
Result<std::optional<pipeline::CaptionFile>> read_speech(PublishArguments const& arguments,
                                                         pipeline::Workspace& workspace, Console const& console)
{
    constexpr std::size_t kMostSaid = 10;
    if (arguments.speech.empty())
        return std::optional<pipeline::CaptionFile>{};
    TRY_ASSIGN(auto const bytes, read_text(arguments.speech, kMostCaptionBytes, workspace));
    auto reading = pipeline::parse_captions(bytes);
    if (!reading)
        return Error{reading.error().kind, arguments.speech.string() + ": " + reading.error().what};
    auto const& left_out = reading->left_out;
    for (std::size_t i = 0; i < std::min(left_out.size(), kMostSaid); ++i)
        console.note(fmt::format("warning: {}: {}; left out", arguments.speech.string(), left_out[i]));
    if (left_out.size() > kMostSaid)
        console.note(
            fmt::format("warning: {}: and {} more left out", arguments.speech.string(), left_out.size() - kMostSaid));
    return std::optional{std::move(reading->file)};
}

Result<void> write_captions(FolderWriter& folder, std::vector<pipeline::Caption> const& screen,
                            std::optional<pipeline::CaptionFile> const& speech)
{
    TRY_VOID(folder.write("captions.vtt", pipeline::webvtt({screen, {}})));
    TRY_VOID(folder.write("captions.srt", pipeline::subrip(screen)));
    if (!speech)
        return {};
    auto const on_top = pipeline::merge_captions(speech->captions, screen, pipeline::MergeStyle::on_top);
    TRY_VOID(folder.write("captions-with-speech.vtt", pipeline::webvtt({on_top, speech->blocks})));
    return folder.write("captions-with-speech.srt", pipeline::subrip(pipeline::merge_captions(
                                                        speech->captions, screen, pipeline::MergeStyle::in_gaps)));
}

/// The cover over a picture of the film, where that can be read.
Result<overlay::Bitmap> cover(PublishArguments const& arguments, pipeline::OpenedLesson const& opened,
                              overlay::Theme const& theme)
{
    if (!opened.film.headers)
        return pipeline::draw_cover(opened.lesson, {}, {}, theme);
    auto at = pipeline::cover_time(opened.timeline);
    if (!arguments.cover_at.empty())
        at = option_value(parse_picture_time(arguments.cover_at, *opened.film.headers, "--cover-at"));
    TRY_ASSIGN(auto const still,
               pipeline::render_still(opened.film.path, at, pipeline::SceneRuns{}, {theme}, interrupt_token()));
    TRY_ASSIGN(auto const sights, pipeline::sights_near(opened.film.path, still.time, interrupt_token()));
    return pipeline::draw_cover(opened.lesson, still.picture, sights, theme);
}

/// Writes the film again beside the other results, with the chapters inside.
Result<void> embed(PublishArguments const& arguments, pipeline::Workspace& workspace, FolderWriter& folder,
                   std::vector<pipeline::Chapter> const& chapters, Console const& console)
{
    TRY_ASSIGN(auto const film, workspace.headers(arguments.embed));
    pipeline::WriteOptions options;
    TRY_ASSIGN(options.container, pipeline::container_for(arguments.embed));
    options.chapters = chapters;
    options.stop = interrupt_token();
    TRY_ASSIGN(auto file, folder.create(arguments.embed.filename()));
    auto const report = pipeline::copy_film(file.path(), film, options);
    if (!report)
        return file.said_of_target(report.error());
    folder.add(arguments.embed.filename(), std::move(file));
    for (auto const& note : report->notes)
        console.note(note);
    if (options.container == pipeline::Container::mp4 || options.container == pipeline::Container::mov)
        console.note("Its chapters have no ends: each lasts to the next, that is all MP4 and MOV can say.");
    return {};
}

Result<void> publish(PublishArguments const& arguments, Console const& console)
{
    pipeline::Workspace workspace{interrupt_token()};
    for (fs::path const& file : {arguments.speech, arguments.embed, arguments.description})
        workspace.add_input(file);
    TRY_ASSIGN(auto const speech, read_speech(arguments, workspace, console));
    std::optional<pipeline::MadeFolder> made;
    pipeline::LessonRequest request = arguments.lesson;
    request.may_write = [&](pipeline::Inputs const& inputs) { return check_folder(arguments, made, inputs); };
    TRY_ASSIGN(auto const opened, open_lesson(request, workspace, console));
    say_findings(request, opened, console);
    if (opened.film.error)
        console.note(opened.film.error->what + "; the cover goes without it");
    auto const* const film = opened.film.headers ? &*opened.film.headers : nullptr;
    TRY_ASSIGN(auto const chosen, theme_on_film(opened.lesson, opened.timeline, film, arguments.theme, KnownFacts::keep,
                                                workspace, interrupt_token()));
    fs::path words = arguments.description;
    if (words.empty()) {
        TRY_ASSIGN(words, templates_folder());
        words /= "description.mustache";
    }
    TRY_ASSIGN(auto const mustache, read_text(words, kMostTemplateBytes, workspace));

    FolderWriter folder{arguments, workspace};
    auto const chapters = pipeline::chapters_of(opened.lesson, opened.timeline);
    for (auto const& warning : pipeline::chapter_warnings(chapters))
        console.note("warning: " + warning);
    TRY_VOID(folder.write("chapters.txt", pipeline::chapter_list(chapters)));
    TRY_VOID(folder.write("chapters.vtt", pipeline::webvtt_chapters(chapters)));
    TRY_VOID(folder.write("chapters.ffmeta", pipeline::ffmetadata(*opened.lesson.title, chapters)));
    TRY_VOID(write_captions(folder, pipeline::captions_of(opened.lesson, opened.timeline), speech));
    TRY_ASSIGN(auto const description, pipeline::description(mustache, opened.lesson, chapters));
    TRY_VOID(folder.write("description.txt", description));
    TRY_VOID(folder.write("summary.json", pipeline::summary_json(opened.lesson, chapters)));
    TRY_ASSIGN(auto const picture, cover(arguments, opened, chosen.theme));
    TRY_ASSIGN(auto const png, overlay::encode_png(picture));
    TRY_VOID(folder.write("cover.png", {reinterpret_cast<char const*>(png.data()), png.size()}));
    if (!arguments.embed.empty())
        TRY_VOID(embed(arguments, workspace, folder, chapters, console));
    return folder.commit(console);
}

} // namespace

void add_publish(CLI::App& program, Context& context)
{
    auto const arguments = std::make_shared<PublishArguments>();
    CLI::App& command =
        add_command(program, "publish", "Write what goes beside the film: chapters, captions, description, cover",
                    {"tabard publish lesson.json -o beside", "tabard publish lesson.json -o beside --speech said.vtt"});
    add_lesson_options(command, arguments->lesson);
    command.add_option("-o,--output", arguments->folder, "the folder to write to; it is made if it is not there")
        ->required()
        ->type_name("FOLDER");
    command.add_option("--embed", arguments->embed, "a film of the lesson: written again with the chapters inside")
        ->type_name("FILM");
    command.add_option("--speech", arguments->speech, "captions of what is said (.vtt or .srt), to be merged");
    command.add_option("--description", arguments->description, "a Mustache template for the description");
    command.add_option("--theme", arguments->theme, "the theme of the cover; if not given that of the film");
    command.add_option("--cover-at", arguments->cover_at, "the instant of the cover's picture")->type_name("TIME");
    command.add_flag("-f,--force", arguments->force, "replace files that are there");
    command.callback([arguments, &context] {
        if (auto const done = publish(*arguments, context.console); !done)
            context.exit = fail(context.console, done.error());
    });
}

} // namespace tabard::cli
