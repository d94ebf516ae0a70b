#include "pipeline/desk/music/music_answers.h"

#include "pipeline/desk/music/chart_answer.h"
#include "pipeline/desk/music/move_answer.h"
#include "pipeline/desk/music/shape_answers.h"
#include "pipeline/desk/music/tap_answer.h"

namespace tabard::pipeline {

void add_music_answers(Routes& routes, Desk& desk, std::shared_ptr<DeskFilm> film)
{
    routes.get["diagram"] = [&desk](Request const& request) { return diagram_answer(*desk.view(), request); };
    routes.get["shapes"] = [&desk](Request const& request) { return shapes_answer(*desk.view(), request); };
    routes.get["verdict"] = [&desk](Request const& request) { return verdict_answer(*desk.view(), request); };
    routes.post["chart"] = [&desk](Request const& request) { return chart_answer(*desk.view(), request.body); };
    routes.post["move"] = [&desk, film = std::move(film)](Request const& request) {
        return move_answer(desk, *film, request.body);
    };
    routes.post["tap"] = [&desk](Request const& request) { return tap_answer(*desk.view(), request.body); };
}

} // namespace tabard::pipeline
