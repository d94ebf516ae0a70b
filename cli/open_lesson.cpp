#include "cli/open_lesson.h"

#include <string>

namespace tabard::cli {

Result<pipeline::OpenedLesson> open_lesson(pipeline::LessonRequest const& request, pipeline::Workspace& workspace,
                                           Console const& console)
{
    TRY_ASSIGN(auto opened, workspace.open(request));
    if (opened.through)
        for (std::string const& remark : opened.through->reading.remarks)
            console.note("note: " + remark);
    return opened;
}

} // namespace tabard::cli
