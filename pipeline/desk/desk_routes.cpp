#include "pipeline/desk/desk_routes.h"

#include "pipeline/desk/desk.h"
#include "pipeline/desk/music/music_answers.h"
#include "pipeline/desk/runs/run_answers.h"
#include "pipeline/desk/server/page_files.h"
#include "pipeline/desk/view/view_answers.h"

namespace tabard::pipeline {
namespace {

void add_page_files(Routes& routes)
{
    for (PageFile const& file : page_files())
        routes.get.emplace(file.name, [file](Request const&) {
            return Answer{200, std::string(file.type), std::string(file.text), {}, {}};
        });
}

} // namespace

// One line for each kind of answer.
Routes desk_routes(Desk& desk)
{
    Routes routes;
    add_page_files(routes);
    add_file_answers(routes, desk);
    add_run_answers(routes, desk);
    add_music_answers(routes, desk, add_view_answers(routes, desk));
    return routes;
}

} // namespace tabard::pipeline
