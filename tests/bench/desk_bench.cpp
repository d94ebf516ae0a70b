// How long the desk takes from an edit to what the page draws.
//   desk_bench CUES [SECONDS]      at this time of the film (10)
#include "pipeline/desk/view/desk_film.h"
#include "pipeline/desk/view/fast_png.h"
#include "pipeline/desk/view/lesson_json.h"
#include "pipeline/desk/view/scenes_json.h"
#include "pipeline/desk/view/still_picture.h"
#include "pipeline/files/file_text.h"
#include "pipeline/media/read/media_reader.h"
#include "pipeline/render/footage_light.h"
#include "pipeline/render/still.h"
#include "pipeline/timeline/placement.h"

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <ctime>
#include <thread>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace {

using namespace tabard;
using namespace tabard::pipeline;

template <class Work>
auto timed(char const* what, Work const& work)
{
    auto const begin = std::chrono::steady_clock::now();
    std::clock_t const busy = std::clock();
    auto result = work();
    std::chrono::duration<double, std::milli> const took = std::chrono::steady_clock::now() - begin;
    fmt::print("{:>9.1f} ms  {:>9.1f} of processors  {}\n", took.count(),
               1e3 * static_cast<double>(std::clock() - busy) / CLOCKS_PER_SEC, what);
    return result;
}

LessonView look(std::string const& text, char const* cues, FilmHeaders const& films)
{
    return look_at(text, cues, films, [](OpenedLesson const& opened) { return Look{{}, stage_of(opened.lesson)}; });
}

} // namespace

int main(int argc, char** argv)
{
    if (argc < 2)
        return 2;
    auto const text = read_file_text(argv[1], 64 << 20);
    if (!text)
        return 3;
    Time const at = from_seconds(argc > 2 ? std::atof(argv[2]) : 10);
    Time const until = at + from_seconds(10);
    FilmHeaders const films;
    timed("first look", [&] { return look(*text, argv[1], films); });
    auto const view = timed("look after an edit", [&] { return look(*text + " ", argv[1], films); });
    if (!view.drawn || !view.film.headers)
        return 3;
    auto const lesson = timed("lesson", [&] { return lesson_json(view, film_state(view.film)); });
    DeskFilm film({"/nonexistent", "/nonexistent"}, [](FilmState const&) {});
    auto const frames = timed("frames", [&] {
        film.take(view.film);
        while (film.frames() && !*film.frames())
            std::this_thread::sleep_for(std::chrono::milliseconds(1));
        return *film.frames();
    });
    LayerStore layers;
    auto const scenes =
        timed("scenes of ten seconds", [&] { return scenes_json(*view.drawn, *frames, at, until, layers); });
    timed("scenes of the film",
          [&] { return scenes_json(*view.drawn, *frames, Time{0}, view.film.facts.duration, layers); });
    std::size_t bytes = 0;
    auto const handed_out = nlohmann::json::parse(scenes)["layers"];
    timed("first layer", [&] { return layers.paint(handed_out[0]); });
    auto const begin = std::chrono::steady_clock::now();
    double longest = 0;
    for (auto const& digest : handed_out) {
        auto const before = std::chrono::steady_clock::now();
        bytes += layers.paint(digest).body.size();
        longest = std::max(
            longest, std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - before).count());
    }
    double const all = std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - begin).count();
    auto const count = static_cast<double>(handed_out.size());
    fmt::print("{:>9.1f} ms  a layer of {}, {:.0f} kB (longest {:.1f} ms)\n", all / count, count,
               static_cast<double>(bytes) / count / 1e3, longest);
    Stills stills;
    timed("still", [&] { return stills.picture(*view.drawn, {at, false, std::nullopt}); });
    timed("still, 960 wide", [&] { return stills.picture(*view.drawn, {at, false, 960}); });
    timed("decoding it", [&] {
        auto reader = MediaReader::open(view.film.path);
        auto const sought = reader->seek(at);
        auto const next = reader->next();
        return bool{next} && bool{sought};
    });
    auto const whole = render_still(view.film.path, at, {}, view.drawn->look);
    timed("its PNG", [&] { return fast_png(whole->picture).size(); });
    timed("light of the film", [&] { return bool{measure_footage_light(*view.film.headers)}; });
    fmt::print("lesson {} kB, scenes {} kB\n", lesson.size() / 1000, scenes.size() / 1000);
    return 0;
}
