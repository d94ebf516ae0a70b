#include "overlay/sheet/sheet.h"

#include "cli/cut_options.h"
#include "cli/finding_count.h"
#include "cli/interrupt.h"
#include "cli/open_lesson.h"
#include "cli/output_options.h"
#include "cli/program.h"
#include "cli/theme_input.h"
#include "cli/values.h"
#include "overlay/drawing/fonts.h"
#include "overlay/sheet/web_link.h"
#include "pipeline/check/check_file.h"
#include "pipeline/publish/sheet_builder.h"

#include <chrono>

#include <CLI/CLI.hpp>
#include <fmt/chrono.h>
#include <fmt/format.h>

namespace tabard::cli {
namespace {

namespace fs = std::filesystem;
using overlay::SheetFormat;

struct SheetCommand {
    pipeline::LessonRequest lesson;
    fs::path output;
    overlay::Paper paper = overlay::Paper::a4;
    std::optional<pipeline::Level> level;
    bool left_handed = false;
    bool large_print = false;
    std::string theme;
    bool force = false;
};

Result<SheetFormat> format_of(fs::path const& output)
{
    auto const extension = output.extension();
    if (extension == ".pdf")
        return SheetFormat::pdf;
    if (extension == ".svg")
        return SheetFormat::svg;
    if (extension == ".png")
        return SheetFormat::png;
    return Error{ErrorKind::invalid_input, fmt::format("{}: a sheet is a .pdf, .svg or .png file", output.string())};
}

/// The date that a PDF carries: when the cue file was last changed, so that the same lesson gives the same bytes.
std::string last_changed(fs::path const& file)
{
    std::error_code failed;
    auto const written = fs::last_write_time(file, failed);
    auto const system = std::chrono::file_clock::to_sys(written);
    return failed ? overlay::SheetOptions{}.made
                  : fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", fmt::gmtime(std::chrono::system_clock::to_time_t(
                                                             std::chrono::floor<std::chrono::seconds>(system))));
}

/// SHEET.png, or SHEET-1.png, SHEET-2.png ... where a page is a file.
fs::path page_name(fs::path const& output, std::size_t page, std::size_t pages)
{
    if (pages == 1)
        return output;
    return output.parent_path() / fmt::format("{}-{}{}", output.stem().string(), page + 1, output.extension().string());
}

/// The theme's font; a sheet is black on white, so the lesson's own theme says nothing about it.
Result<std::string> font_of(SheetCommand const& command, pipeline::Lesson const& lesson, pipeline::Workspace& workspace)
{
    if (command.theme.empty())
        return overlay::default_theme().font;
    TRY_ASSIGN(auto const theme, theme_for(lesson, command.theme, workspace));
    return theme.font;
}

Result<void> make_sheet(SheetCommand const& command, Console const& console)
{
    pipeline::Workspace workspace{interrupt_token()};
    TRY_ASSIGN(auto const opened, open_lesson(command.lesson, workspace, console));
    TRY_VOID(pipeline::check_shows_chords(say_findings(command.lesson, opened, console), command.lesson.cues));
    pipeline::Lesson const& lesson = opened.lesson;
    auto const format = option_value(format_of(command.output));
    overlay::SheetOptions options;
    options.paper = command.paper;
    options.large_print = command.large_print;
    options.left_handed = command.left_handed || *lesson.left_handed;
    options.made = last_changed(command.lesson.cues);
    TRY_ASSIGN(options.font, font_of(command, lesson, workspace));
    for (auto const& font : overlay::missing_fonts({options.font, "DejaVu Sans"}))
        console.note(fmt::format("The font {} is not installed; another stands in for it.", font));
    auto const model = pipeline::build_sheet(lesson, command.level);
    for (auto const& text : overlay::texts_without_glyphs(model, options))
        console.note(fmt::format("No installed font has all letters of \"{}\": install one for that script.", text));
    if (!model.link.empty() && !overlay::is_web_link(model.link))
        console.note(fmt::format("The link \"{}\" is printed as text, without a code: only addresses that begin with "
                                 "https://, http:// or mailto: are made links.",
                                 model.link));
    TRY_ASSIGN(auto const pages, overlay::draw_sheet(model, options, format));
    pipeline::OutputFiles files{existing(command.force), workspace.inputs()};
    for (std::size_t page = 0; page < pages.size(); ++page)
        TRY_VOID(files.write(page_name(command.output, page, pages.size()), pages[page]));
    TRY_VOID(check_not_interrupted());
    TRY_VOID(files.commit());
    for (std::size_t page = 0; page < pages.size(); ++page)
        console.wrote(page_name(command.output, page, pages.size()));
    return {};
}

template <class Enum>
CLI::Validator choice(std::map<std::string, Enum> const& words)
{
    auto const to_number = [words](std::string& value) {
        auto const found = words.find(value);
        if (found != words.end()) {
            value = std::to_string(static_cast<int>(found->second));
            return std::string{};
        }
        std::vector<std::string> names;
        for (auto const& [name, meaning] : words)
            names.push_back(name);
        return not_one_of(value, names);
    };
    return {to_number, ""};
}

} // namespace

void add_sheet(CLI::App& program, Context& context)
{
    auto const options = std::make_shared<SheetCommand>();
    CLI::App& command = add_command(program, "sheet", "Print the lesson: shapes, chords of each part, strums",
                                    {"tabard sheet lesson.json -o lesson.pdf",
                                     "tabard sheet lesson.json -o lesson.pdf --paper letter --level easy"});
    add_lesson_options(command, options->lesson);
    command.add_option("-o,--output", options->output, "The sheet: a .pdf, or .svg or .png (a file a page)")
        ->required()
        ->check(name_with_ending({".pdf", ".svg", ".png"}, "a sheet"));
    command.add_option("--paper", options->paper, "Size of the paper")
        ->transform(choice<overlay::Paper>({{"a4", overlay::Paper::a4}, {"letter", overlay::Paper::letter}}))
        ->type_name("a4|letter");
    command.add_option("--level", options->level, "Which shape to print if a chord has several: easy or full")
        ->transform(choice<pipeline::Level>({{"easy", pipeline::Level::easy}, {"full", pipeline::Level::full}}))
        ->type_name("easy|full");
    command.add_flag("--left-handed", options->left_handed, "Mirror the diagrams");
    command.add_flag("--large-print", options->large_print, "No letter below 18 points");
    command.add_option("--theme", options->theme, "Set in the font of this theme");
    command.add_flag("-f,--force", options->force, "Replace files that are there already");
    command.callback([options, &context] {
        if (auto const made = make_sheet(*options, context.console); !made)
            context.exit = fail(context.console, made.error());
    });
}

} // namespace tabard::cli
