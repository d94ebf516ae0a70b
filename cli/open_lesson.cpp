#include "cli/open_lesson.h"

#include <string>

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
        for (pipeline::CutDoubt const& doubt : opened.through->reading.doubts)
            console.note("warning: " + doubt.text());
    return opened;
}

} // namespace tabard::cli
