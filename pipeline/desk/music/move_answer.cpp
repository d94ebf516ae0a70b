#include "pipeline/desk/music/move_answer.h"

#include "pipeline/desk/music/moved_time.h"
#include "pipeline/desk/view/json.h"
#include "pipeline/desk/view/lesson_json.h"

#include <cmath>

namespace tabard::pipeline {
namespace {

struct MoveRequest {
    std::string base;
    DocumentPath path;
    MoveTo to = Time{0};
};

std::optional<DocumentPath> path_of(Json const& list)
{
    if (!list.is_array() || list.size() > 8)
        return std::nullopt;
    DocumentPath path;
    for (Json const& step : list)
        if (step.is_string())
            path.emplace_back(step.get<std::string>());
        else if (step.is_number_unsigned())
            path.emplace_back(step.get<std::size_t>());
        else
            return std::nullopt;
    return path;
}

std::optional<MoveTo> goal_of(Json const& body)
{
    constexpr double kMost = 1e6; // seconds, and frames
    char const* const key = body.contains("frames") ? "frames" : "time";
    Json const value = body.value(key, Json());
    if (!value.is_number() || !(std::abs(value.get<double>()) < kMost))
        return std::nullopt;
    if (*key == 't')
        return from_seconds(value.get<double>());
    return value.is_number_integer() ? std::optional<MoveTo>(value.get<std::int64_t>()) : std::nullopt;
}

std::optional<MoveRequest> request_of(std::string_view text)
{
    Json const body = Json::parse(text, nullptr, false);
    if (!body.is_object() || !body.contains("base") || !body["base"].is_string() || !body.contains("path"))
        return std::nullopt;
    auto path = path_of(body["path"]);
    auto const to = goal_of(body);
    if (!path || !to)
        return std::nullopt;
    return MoveRequest{body["base"].get<std::string>(), *std::move(path), *to};
}

Result<FrameClock> clock_of(LessonView const& view, DeskFilm& film)
{
    KnownFilm const& known = film_of(view);
    film.take(known);
    if (auto const frames = film.frames(); frames && *frames && !(*frames)->empty())
        return FrameClock(*frames, known.facts.duration);
    if (known.headers && known.headers->video->variable_rate)
        return Error{ErrorKind::invalid_input, "the frames of the film are still being read; try again in a moment"};
    return FrameClock(known.facts);
}

/// The value at a path; null where it is not there.
JsonValue* value_at(JsonValue& document, DocumentPath const& path, std::size_t steps)
{
    JsonValue* at = &document;
    for (std::size_t n = 0; at && n < steps; ++n) {
        if (auto const* const key = std::get_if<std::string>(&path[n]))
            at = at->find(*key);
        else
            at = std::get<std::size_t>(path[n]) < at->items.size() ? &at->items[std::get<std::size_t>(path[n])]
                                                                   : nullptr;
    }
    return at;
}

Result<void> set(JsonValue& document, DocumentSet const& edit)
{
    JsonValue* const holder = value_at(document, edit.path, edit.path.size() - 1);
    auto const* const key = std::get_if<std::string>(&edit.path.back());
    JsonValue* const value = value_at(document, edit.path, edit.path.size());
    if (holder && key)
        holder->set(*key, edit.value);
    else if (value)
        *value = edit.value;
    else
        return Error{ErrorKind::invalid_input, "the file has no such time; load the page again"};
    return {};
}

} // namespace

Answer move_answer(Desk& desk, DeskFilm& film, std::string_view body)
{
    auto const request = request_of(body);
    if (!request)
        return refusal(400, "where the time is to go cannot be understood");
    auto const view = desk.view();
    Result<MovedTime> moved = MovedTime{};
    if (view->digest == request->base) { // else the desk says so
        auto const frames = clock_of(*view, film);
        if (!frames)
            return refusal(frames.error());
        moved = moved_time(*view, request->path, request->to, *frames);
        if (!moved)
            return refusal(moved.error());
    }
    return desk.change(request->base, moved->what, [&](JsonValue& document) -> Result<void> {
        if (view->digest != request->base)
            return Error{ErrorKind::invalid_input, "the lesson was changed meanwhile; try again"};
        for (DocumentSet const& edit : moved->edits)
            TRY_VOID(set(document, edit));
        return {};
    });
}

} // namespace tabard::pipeline
