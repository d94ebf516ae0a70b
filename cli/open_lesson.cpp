#include "cli/open_lesson.h"

#include <string>

#include <fmt/format.h>

namespace tabard::cli {

void say_remarks(pipeline::OpenedLesson const& opened, Console const& console)
{
    if (opened.through)
        for (std::string const& remark : opened.through->reading.remarks)
            console.note("note: " + remark);
}

Result<pipeline::OpenedLesson> open_lesson(pipeline::LessonRequest const& request, pipeline::Workspace& workspace,
                                           Console const& console)
{
    TRY_ASSIGN(auto opened, workspace.open(request));
    say_remarks(opened, console);
    if (opened.through)
        for (auto const& [what, fix] : opened.through->reading.doubts)
            console.note(fmt::format("warning: {}; {}", what, fix));
    return opened;
}

} // namespace tabard::cli
