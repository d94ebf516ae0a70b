#include "model_cut.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

using Event = ModelCut::Event;
using Picture = Event::Picture;

std::int64_t pick(std::mt19937& random, std::int64_t from, std::int64_t to)
{
    return std::uniform_int_distribution<std::int64_t>{from, to}(random);
}

Event random_event(std::mt19937& random, std::int64_t length)
{
    constexpr std::int64_t kSpeeds[][2] = {{1, 2}, {2, 1}, {3, 2}, {3, 4}, {1, 4}, {4, 1}, {5, 4}, {2, 3}, {3, 1}};
    Event event;
    std::int64_t const kind = pick(random, 0, 19);
    if (kind < 4)
        event.picture = kind == 0 ? Picture::gap : kind == 1 ? Picture::black : Picture::other_film;
    if (kind >= 12 && kind < 17) {
        auto const& speed = kSpeeds[pick(random, 0, std::ssize(kSpeeds) - 1)];
        event.num = speed[0];
        event.den = speed[1];
    }
    event.reverse = kind >= 15 && kind < 19; // some of them at another speed too
    if (kind == 19)
        event.num = 0;
    event.frames = pick(random, 5, 60) * event.den;
    event.in = pick(random, 0, length - event.taken() - 1);
    return event;
}

/// What an event shows `k` frames after its beginning.
ModelCut::Position shown(Event const& event, double k)
{
    double const gone = k * static_cast<double>(event.num) / static_cast<double>(event.den);
    auto const first = static_cast<double>(event.in);
    return event.reverse ? ModelCut::Position{first + static_cast<double>(event.taken()) - gone, true}
                         : ModelCut::Position{first + gone, false};
}

} // namespace

ModelCut ModelCut::random(std::mt19937& random, FrameRate rate, bool drop_frame, std::int64_t length)
{
    ModelCut cut{rate, drop_frame, {}};
    std::int64_t const count = pick(random, 4, 14);
    while (std::ssize(cut.events) < count) {
        Event event = random_event(random, length);
        if (!cut.events.empty()) {
            Event const& before = cut.events.back();
            bool const both_run = event.picture == Picture::footage && before.picture == Picture::footage &&
                                  event.num > 0 && before.num > 0 && !event.reverse && !before.reverse;
            if (both_run && pick(random, 0, 2) == 0)
                event.dissolve = pick(random, 1, std::min<std::int64_t>(24, event.frames));
            // What is left over runs on past its own end, and the footage is there for it.
            if (before.in + before.taken() + event.dissolve * 4 > length)
                event.dissolve = 0;
        }
        cut.events.push_back(event);
    }
    // A film neither begins nor ends with nothing, and it shows the footage.
    cut.events.front() = {Picture::footage, pick(random, 0, length / 2), pick(random, 5, 60)};
    cut.events[1].dissolve = 0;
    if (cut.events.back().picture == Picture::gap)
        cut.events.back().picture = Picture::black;
    return cut;
}

std::int64_t ModelCut::length() const
{
    std::int64_t sum = 0;
    for (Event const& event : events)
        sum += event.frames;
    return sum;
}

bool ModelCut::Position::is_in(std::int64_t from, std::int64_t to) const
{
    auto const in = static_cast<double>(from);
    auto const out = static_cast<double>(to);
    return reverse ? in < frame && frame <= out : in <= frame && frame < out;
}

std::optional<ModelCut::Position> ModelCut::position(std::int64_t at, double later) const
{
    std::int64_t begin = 0;
    for (std::size_t i = 0; i < events.size(); begin += events[i++].frames) {
        Event const& event = events[i];
        if (at >= begin + event.frames)
            continue;
        double const k = static_cast<double>(at - begin) + later;
        if (at < begin + event.dissolve / 2)
            return shown(events[i - 1], static_cast<double>(events[i - 1].frames) + k);
        if (event.picture != Picture::footage)
            return std::nullopt;
        return shown(event, k);
    }
    return std::nullopt;
}

std::string ModelCut::label(std::int64_t frame) const
{
    auto const second = static_cast<std::int64_t>(std::ceil(static_cast<double>(rate.num) / rate.den));
    std::int64_t const dropped = drop_frame ? second / 15 : 0;
    std::int64_t minute = 0;
    while (true) {
        std::int64_t const first = minute % 10 == 0 ? 0 : dropped; // the number of the minute's first label
        if (frame < 60 * second - first) {
            std::int64_t const number = frame + first;
            return fmt::format("{:02}:{:02}:{:02}{}{:02}", minute / 60, minute % 60, number / second,
                               drop_frame ? ';' : ':', number % second);
        }
        frame -= 60 * second - first;
        ++minute;
    }
}

std::string ModelCut::edl(std::int64_t source_start) const
{
    std::string text = fmt::format("TITLE: MODEL\nFCM: {} FRAME\n", drop_frame ? "DROP" : "NON-DROP");
    double const normal = static_cast<double>(rate.num) / rate.den;
    std::int64_t record = 0;
    while (label(record) < "01:00:00")
        record += 1000;
    std::int64_t number = 1;
    std::int64_t left = source_start;
    for (Event const& event : events) {
        std::int64_t const end = record + event.frames;
        std::string const in = label(record);
        std::string const out = label(end);
        record = end;
        if (event.picture == Picture::gap)
            continue;
        std::string const reel = event.picture == Picture::footage ? "LANTERN"
                                 : event.picture == Picture::black ? "BL"
                                                                   : "OTHER";
        std::int64_t const from = source_start + event.in;
        std::int64_t const to = from + (event.num == 0 ? 1 : event.taken());
        if (event.dissolve > 0)
            text += fmt::format("{:03}  {} V C {} {} {} {}\n", number, reel, label(left), label(left), in, in);
        std::string const transition = event.dissolve > 0 ? fmt::format("D {:03}", event.dissolve) : "C";
        text +=
            fmt::format("{:03}  {} V {} {} {} {} {}\n", number++, reel, transition, label(from), label(to), in, out);
        bool const is_normal = event.num == event.den && !event.reverse;
        if (!is_normal)
            text += fmt::format("M2   {} {}{:05.1f} {}\n", reel, event.reverse ? "-" : "",
                                normal * static_cast<double>(event.num) / static_cast<double>(event.den), label(from));
        left = to;
    }
    return text;
}

std::string ModelCut::otio() const
{
    double const fps = static_cast<double>(rate.num) / rate.den;
    auto const time = [&](std::int64_t frames) {
        return fmt::format(R"({{"OTIO_SCHEMA": "RationalTime.1", "value": {}, "rate": {}}})", frames, fps);
    };
    auto const range = [&](std::int64_t from, std::int64_t frames) {
        return fmt::format(R"({{"OTIO_SCHEMA": "TimeRange.1", "start_time": {}, "duration": {}}})", time(from),
                           time(frames));
    };
    std::string children;
    for (Event const& event : events) {
        if (!children.empty())
            children += ",\n";
        if (event.dissolve > 0)
            children += fmt::format(R"({{"OTIO_SCHEMA": "Transition.1", "in_offset": {}, "out_offset": {}}},)", time(0),
                                    time(event.dissolve));
        if (event.picture == Picture::gap || event.picture == Picture::black) {
            children += fmt::format(R"({{"OTIO_SCHEMA": "Gap.1", "source_range": {}}})", range(0, event.frames));
            continue;
        }
        std::string effect;
        if (event.num == 0)
            effect = R"({"OTIO_SCHEMA": "FreezeFrame.1", "time_scalar": 0})";
        else if (event.num != event.den || event.reverse)
            effect =
                fmt::format(R"({{"OTIO_SCHEMA": "LinearTimeWarp.1", "time_scalar": {}{}}})", event.reverse ? "-" : "",
                            static_cast<double>(event.num) / static_cast<double>(event.den));
        children +=
            fmt::format(R"({{"OTIO_SCHEMA": "Clip.1", "name": "take", "source_range": {}, "effects": [{}], )"
                        R"("media_reference": {{"OTIO_SCHEMA": "ExternalReference.1", "target_url": "{}.mp4"}}}})",
                        range(event.in, event.frames), effect, event.picture == Picture::footage ? "lantern" : "other");
    }
    return fmt::format(R"({{"OTIO_SCHEMA": "Timeline.1", "tracks": {{"OTIO_SCHEMA": "Stack.1", "children": [)"
                       R"({{"OTIO_SCHEMA": "Track.1", "kind": "Video", "children": [{}]}}]}}}})",
                       children);
}

} // namespace tabard::pipeline
