#include "pipeline/desk/view/view_answers.h"

#include "overlay/base/small_letters.h"
#include "pipeline/desk/runs/output_name.h"
#include "pipeline/desk/view/desk_film.h"
#include "pipeline/desk/view/json.h"
#include "pipeline/desk/view/lesson_json.h"
#include "pipeline/desk/view/scenes_json.h"
#include "pipeline/desk/view/still_picture.h"
#include "pipeline/render/group_cache.h"

#include <algorithm>
#include <bit>

namespace tabard::pipeline {
namespace {

constexpr double kLongestWindow = 3600; // of scenes: nobody waits for more

FilmFolders folders_of(Desk const& desk)
{
    auto const state = desk.options().state;
    return {state, GroupCache::default_folder().value_or(state)};
}

/// What the answers share.
struct Seen {
    Desk& desk;
    DeskFilm film;
    LayerStore layers;
    Stills stills;

    explicit Seen(Desk& on)
        : desk(on), film(folders_of(on), [&on](FilmState const& state) {
              on.tell({"film", json_text({{"state", state.state}, {"share", state.share}, {"why", state.why}})});
          })
    {
    }

    std::shared_ptr<LessonView const> view()
    {
        auto const view = desk.view();
        film.take(film_of(*view));
        return view;
    }
};

Answer made_of_bytes(std::string bytes)
{
    return {200, "application/octet-stream", std::move(bytes), {{"Cache-Control", "no-store"}}, {}};
}

Answer lesson(Seen& seen)
{
    auto const view = seen.view();
    return {200, "application/json", lesson_json(*view, seen.film.state()), {}, {}};
}

Answer scenes(Seen& seen, Request const& request)
{
    auto const from = request.seconds("from");
    auto const to = request.seconds("to");
    if (!from || !to || *to < *from || *to - *from > kLongestWindow)
        return refusal(400, "from and to must be seconds, at most an hour apart");
    auto const view = seen.view();
    if (!view->drawn)
        return refusal(422, view->broken);
    auto const frames = seen.film.frames();
    static std::vector<Time> const unknown;
    return {200,
            "application/json",
            scenes_json(*view->drawn, frames && *frames ? **frames : unknown, from_seconds(*from), from_seconds(*to),
                        seen.layers),
            {},
            {}};
}

Answer frames(Seen& seen)
{
    seen.view();
    auto const known = seen.film.frames();
    if (!known)
        return refusal(known.error());
    if (!*known)
        return {202, "application/octet-stream", "", {}, {}};
    std::string bytes;
    bytes.reserve((*known)->size() * sizeof(double));
    for (Time const time : **known) {
        static_assert(std::endian::native == std::endian::little);
        double const seconds = json_seconds(time);
        bytes.append(reinterpret_cast<char const*>(&seconds), sizeof seconds);
    }
    return made_of_bytes(std::move(bytes));
}

Answer waveform(Seen& seen)
{
    seen.view();
    auto const known = seen.film.waveform();
    if (!known)
        return refusal(known.error());
    if (!*known)
        return {202, "application/octet-stream", "", {}, {}};
    if ((*known)->empty())
        return {204, "application/octet-stream", "", {}, {}};
    return made_of_bytes(**known);
}

std::string type_of(std::filesystem::path const& film)
{
    std::string const ending = small_letters(film.extension().string());
    return ending == ".webm" ? "video/webm" : ending == ".mkv" ? "video/x-matroska" : "video/mp4"; // MOV is its family
}

Answer film(Seen& seen)
{
    seen.view();
    auto const file = seen.film.playable();
    FilmState const state = seen.film.state();
    if (!file)
        return refusal(404, state.why.empty() ? "the film is not ready yet" : state.why);
    return {200, type_of(*file), "", {{"Cache-Control", "no-cache"}}, *file};
}

/// Of another film in the lesson's folder.
Answer still_of_other(Seen& seen, std::string const& name, StillRequest const& wanted)
{
    auto const film = file_in(seen.desk.options().lesson.parent_path(), name);
    if (!film)
        return refusal(film.error());
    FilmHeaders headers = seen.desk.films();
    auto const read = headers(*film);
    return read ? seen.stills.frame(*film, *read, wanted) : refusal(read.error());
}

Answer still(Seen& seen, Request const& request)
{
    auto const time = request.seconds("time");
    if (!time)
        return refusal(400, "time must be seconds");
    StillRequest wanted{from_seconds(*time), request.value("plain") == "1", std::nullopt};
    if (auto const width = request.seconds("width"))
        wanted.width = static_cast<int>(std::clamp(*width, 16.0, 16384.0));
    if (std::string const name = request.value("film"); !name.empty())
        return still_of_other(seen, name, wanted);
    auto const view = seen.view();
    if (!view->drawn)
        return refusal(422, view->broken);
    return seen.stills.picture(*view->drawn, wanted);
}

} // namespace

std::shared_ptr<DeskFilm> add_view_answers(Routes& routes, Desk& desk)
{
    auto const seen = std::make_shared<Seen>(desk);
    seen->view(); // the film is read while the browser starts
    routes.get["lesson"] = [seen](Request const&) { return lesson(*seen); };
    routes.get["scenes"] = [seen](Request const& request) { return scenes(*seen, request); };
    routes.get["layer"] = [seen](Request const& request) { return seen->layers.paint(request.rest); };
    routes.get["frames"] = [seen](Request const&) { return frames(*seen); };
    routes.get["waveform"] = [seen](Request const&) { return waveform(*seen); };
    routes.get["film"] = [seen](Request const&) { return film(*seen); };
    routes.get["still"] = [seen](Request const& request) { return still(*seen, request); };
    return {seen, &seen->film};
}

} // namespace tabard::pipeline
