#include "cli/finding_count.h"

#include "cli/terminal_text.h"
#include "pipeline/check/check_file.h"
#include "pipeline/listen/listen_codes.h"

#include <fmt/format.h>

namespace tabard::cli {
namespace {

/// The check of the same lesson on the same film.
std::string check_command(pipeline::LessonRequest const& request)
{
    std::string command = fmt::format("tabard check --quick {}", shell_word(request.cues.string()));
    auto const add = [&command](char const* option, std::string const& value) {
        if (!value.empty())
            command += fmt::format(" {} {}", option, shell_word(value));
    };
    pipeline::CutRequest const& cut = request.through;
    add("--through", cut.cut.string());
    add("--footage", request.footage.string());
    add("--reel", cut.reel);
    add("--rate", cut.rate);
    add("--source-start", cut.source_start);
    add("--record-start", cut.record_start);
    add("--old", cut.old_film.string());
    return command + (cut.lenient ? " --lenient" : "");
}

std::string counted(int count, char const* what)
{
    return count == 0 ? "" : fmt::format("{} {}{}", count, what, count == 1 ? "" : "s");
}

} // namespace

pipeline::CheckResult say_findings(pipeline::LessonRequest const& request, pipeline::OpenedLesson const& opened,
                                   Console const& console)
{
    auto result = pipeline::quick_check(opened, pipeline::listen_codes());
    std::string const errors = counted(result.errors, "error"), warnings = counted(result.warnings, "warning");
    if (!errors.empty() || !warnings.empty())
        console.note(fmt::format("{}: {}{}{} ({})", request.cues.string(), errors,
                                 errors.empty() || warnings.empty() ? "" : " and ", warnings, check_command(request)));
    return result;
}

} // namespace tabard::cli
