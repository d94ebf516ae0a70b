#include "pipeline/desk/music_answers.h"

#include "pipeline/desk/tap_answer.h"

namespace tabard::pipeline {

void add_music_answers(Routes& routes, Desk& desk)
{
    routes.post["tap"] = [&desk](Request const& request) { return tap_answer(*desk.view(), request.body); };
}

} // namespace tabard::pipeline
