#include "pipeline/desk/music/moved_time.h"

#include "pipeline/cues/pin_text.h"
#include "pipeline/desk/music/written_time.h"
#include "pipeline/desk/view/part_of_file.h"
#include "pipeline/desk/view/part_times.h"
#include "pipeline/render/scene_runs.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <iterator>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

Error wrong(std::string what) { return {ErrorKind::invalid_input, std::move(what)}; }
Error no_time() { return {ErrorKind::not_found, "the file has no such time; load the page again"}; }

std::string const* key_at(DocumentPath const& path, std::size_t n)
{
    return n < path.size() ? std::get_if<std::string>(&path[n]) : nullptr;
}

std::optional<std::size_t> index_at(DocumentPath const& path, std::size_t n)
{
    auto const* const index = n < path.size() ? std::get_if<std::size_t>(&path[n]) : nullptr;
    return index ? std::optional(*index) : std::nullopt;
}

bool is_key(DocumentPath const& path, std::size_t n, std::string_view key)
{
    std::string const* const found = key_at(path, n);
    return found && *found == key;
}

std::optional<FrameRate> label_rate(LessonView const& view, Lesson const& lesson)
{
    if (lesson.footage_facts && lesson.footage_facts->rate)
        return **lesson.footage_facts->rate;
    if (view.film.headers && view.film.headers->video)
        return view.film.headers->video->rate;
    return std::nullopt;
}

/// The value in the list `key` of a part; null where it is not there.
JsonValue const* item_of(JsonValue const& part, std::string_view key, std::size_t index)
{
    JsonValue const* const list = part.find(key);
    return list && index < list->items.size() ? &list->items[index] : nullptr;
}

class Mover {
public:
    Mover(LessonView const& view, PartOfFile const& part, std::size_t index, MoveTo to, FrameClock const& frames)
        : m_view(view),
          m_lesson(part.lesson),
          m_own(part.own()),
          m_index(index),
          m_json(view.file.document.find("sections")->items[index]),
          m_to(to),
          m_frames(frames),
          m_rate(label_rate(view, part.lesson)),
          m_times(part_times(part.own()))
    {
        find_neighbours(part.section);
    }

    Result<MovedTime> move(DocumentPath const& path)
    {
        if (path.size() == 2)
            return move_part();
        if (path.size() == 3 && is_key(path, 2, "from"))
            return move_from();
        if (path.size() == 3 && is_key(path, 2, "to"))
            return move_to();
        auto const item = index_at(path, 3);
        bool const names_pin = path.size() == 4 || (path.size() == 5 && index_at(path, 4) == 1U);
        if (item && is_key(path, 2, "pins") && names_pin)
            return move_pin(*item, PinEnd::stops);
        if (item && is_key(path, 2, "pins") && path.size() == 6 && index_at(path, 4) == 1U && is_key(path, 5, "to"))
            return move_pin(*item, PinEnd::goes_on);
        if (item && path.size() == 5 && is_key(path, 2, "show") && key_at(path, 4))
            return move_cue(*item, *key_at(path, 4));
        return no_time();
    }

private:
    /// Where the playing stops at a pin, and where it goes on: both are one where there is no pause.
    enum class PinEnd { stops, goes_on };

    /// A part beside this one in the film.
    struct Neighbour {
        Section const* section = nullptr;
        std::size_t index = 0; ///< in the file
        PartTimes times;
    };

    void find_neighbours(std::size_t own)
    {
        if (!m_times.from)
            return;
        for (std::size_t n = 0; n < m_lesson.sections.size(); ++n) {
            Section const& section = m_lesson.sections[n];
            PartTimes const times = part_times(section);
            auto const index = index_in_file(m_view.file.document, section.at);
            if (n == own || !times.from || !index)
                continue;
            bool const earlier = *times.from < *m_times.from || (*times.from == *m_times.from && n < own);
            auto& beside = earlier ? m_before : m_after;
            if (!beside || (earlier ? *times.from >= *beside->times.from : *times.from < *beside->times.from))
                beside = Neighbour{&section, *index, times};
        }
    }

    std::string const& name() const { return *m_own.name; }

    std::optional<Time> time_of(JsonValue const* value) const
    {
        if (!value || (value->kind != JsonValue::Kind::string && value->kind != JsonValue::Kind::number))
            return std::nullopt;
        auto const time = parse_time(value->text, has_frames(value->text) ? m_rate : std::nullopt);
        return time ? std::optional(*time) : std::nullopt;
    }

    /// The frame that a time goes to which is `now`. What ends may also go to the end of the film.
    Result<std::int64_t> frame_for(std::optional<Time> now, bool ends = false) const
    {
        std::optional<std::int64_t> const count = m_frames.count();
        auto const is_end = [&](Time time) {
            return ends && count && time >= m_frames.time_of(*count) - kOnScreenSlack;
        };
        if (auto const* const time = std::get_if<Time>(&m_to))
            return is_end(*time) ? *count : m_frames.nearest(*time);
        if (!now)
            return wrong("that time is not written in the file; set it where the film stands");
        std::int64_t const frame = (is_end(*now) ? *count : m_frames.on_screen_at(*now)) + std::get<std::int64_t>(m_to);
        if (frame < 0 || (count && frame >= *count + (ends ? 1 : 0)))
            return wrong("the film has no frame there");
        return frame;
    }

    /// A frame's time in the form of what stands there. A label is only good where reading it gives that frame.
    JsonValue written_frame(std::int64_t frame, JsonValue const* before) const
    {
        TimeForm form = before ? form_of(*before, m_rate) : TimeForm{};
        JsonValue value = written_time(plain_time_of(m_frames, frame), form);
        auto const read = time_of(&value);
        if (!read || m_frames.on_screen_at(*read) != frame || *read <= m_frames.time_of(frame) - kOnScreenSlack) {
            form.frames = false;
            value = written_time(plain_time_of(m_frames, frame), form);
        }
        return value;
    }

    void set(DocumentPath path, JsonValue value) { m_result.edits.push_back({std::move(path), std::move(value)}); }

    void set_frame(std::size_t part, std::string key, std::int64_t frame)
    {
        JsonValue const* const before = m_view.file.document.find("sections")->items[part].find(key);
        JsonValue value = written_frame(frame, before);
        set({"sections", part, std::move(key)}, std::move(value));
    }

    static bool touch(std::optional<Time> end, std::optional<Time> begin)
    {
        return end && begin && std::chrono::abs(*end - *begin) <= kOnScreenSlack;
    }
    /// Whether a part's "from" may move without its music.
    static bool only_edge(Section const& section) { return section.from && (!section.bars || !section.pins.empty()); }

    /// This part begins with `frame`: the one before must let it.
    Result<void> begin_at(std::int64_t frame, std::optional<Time> now)
    {
        Time const time = plain_time_of(m_frames, frame);
        if (!m_before)
            return {};
        PartTimes const& before = m_before->times;
        if (time <= *before.from)
            return wrong(fmt::format("'{}' cannot begin before '{}' ({})", name(), *m_before->section->name,
                                     print_time(*before.from)));
        if (before.to && touch(before.to, now))
            set_frame(m_before->index, "to", frame);
        else if (before.to && time < *before.to - kOnScreenSlack && !(now && *now < *before.to && time >= *now))
            return wrong(fmt::format("'{}' cannot begin before '{}' ends ({})", name(), *m_before->section->name,
                                     print_time(*before.to)));
        return {};
    }

    /// This part ends with `frame`: the one after must let it.
    Result<void> end_at(std::int64_t frame, std::optional<Time> now)
    {
        Time const time = plain_time_of(m_frames, frame);
        if (!m_after)
            return {};
        PartTimes const& after = m_after->times;
        bool const follows = now && touch(now, after.from) && only_edge(*m_after->section);
        if (follows && (!after.to || time < *after.to))
            set_frame(m_after->index, "from", frame);
        else if (time > *after.from + kOnScreenSlack && !(now && *now > *after.from && time <= *now))
            return wrong(fmt::format("'{}' cannot end after '{}' begins ({})", name(), *m_after->section->name,
                                     print_time(*after.from)));
        return {};
    }

    Result<MovedTime> move_from()
    {
        TRY_ASSIGN(std::int64_t const frame, frame_for(m_times.from));
        Time const time = plain_time_of(m_frames, frame);
        if (m_times.to && time >= *m_times.to)
            return wrong(fmt::format("'{}' cannot begin after its end ({})", name(), print_time(*m_times.to)));
        if (m_after && m_times.from && time >= *m_after->times.from)
            return wrong(fmt::format("'{}' cannot begin after '{}' ({})", name(), *m_after->section->name,
                                     print_time(*m_after->times.from)));
        set_frame(m_index, "from", frame);
        TRY_VOID(begin_at(frame, m_times.from));
        m_result.what = fmt::format("Move the begin of {}", name());
        return std::move(m_result);
    }

    Result<MovedTime> move_to()
    {
        TRY_ASSIGN(std::int64_t const frame, frame_for(m_times.to ? m_times.to : shown_to(), true));
        Time const time = plain_time_of(m_frames, frame);
        if (m_times.from && time <= *m_times.from)
            return wrong(fmt::format("'{}' cannot end before it begins ({})", name(), print_time(*m_times.from)));
        set_frame(m_index, "to", frame);
        TRY_VOID(end_at(frame, m_times.to));
        m_result.what = fmt::format("Move the end of {}", name());
        return std::move(m_result);
    }

    /// When the part leaves the screen, where it does not say so itself.
    std::optional<Time> shown_to() const
    {
        if (!m_view.drawn || m_view.drawn->digest != m_view.digest)
            return std::nullopt;
        auto const& spans = m_view.drawn->opened.timeline.sections();
        auto const span = std::ranges::find(spans, m_own.at, &SectionSpan::at);
        return span == spans.end() ? std::nullopt : std::optional(span->out);
    }

    Result<MovedTime> move_pin(std::size_t index, PinEnd end)
    {
        JsonValue const* const json = item_of(m_json, "pins", index);
        auto const pin = json ? std::ranges::find(m_own.pins, json->at, &Pin::at) : m_own.pins.end();
        if (pin == m_own.pins.end())
            return no_time();
        WrittenEnds const written = written_ends(json->items[1].text);
        bool const moves_end = end == PinEnd::goes_on;
        if (moves_end && !written.to)
            return no_time();
        TRY_ASSIGN(std::int64_t const frame, frame_for(moves_end ? pin->next_time() : pin->time));
        Time const time = plain_time_of(m_frames, frame);
        TRY_VOID(between_pins(pin - m_own.pins.begin(), moves_end, time));
        JsonValue value = json->items[1];
        if (written.to)
            value.text = moves_end ? *written.to : written.from;
        value = written_frame(frame, &value);
        if (written.to)
            value = JsonValue::string(moves_end ? fmt::format("{} to {}", written.from, value.text)
                                                : fmt::format("{} to {}", value.text, *written.to));
        set({"sections", m_index, "pins", index, std::size_t{1}}, std::move(value));
        m_result.what = moves_end ? fmt::format("Move where {} goes on at {}", name(), pin->next_position().text())
                                  : fmt::format("Move pin {} of {}", pin->position.text(), name());
        return std::move(m_result);
    }

    /// A pin stays between its neighbours, and stops before it goes on.
    Result<void> between_pins(std::ptrdiff_t index, bool moves_end, Time time) const
    {
        Pin const& pin = m_own.pins[static_cast<std::size_t>(index)];
        bool const pauses = pin.next_time() > pin.time;
        std::string const name = pin.position.text();
        if (pauses && moves_end && time <= pin.time)
            return wrong(
                fmt::format("the playing must go on after it stops at pin {} ({})", name, print_time(pin.time)));
        if (pauses && !moves_end && time >= pin.next_time())
            return wrong(fmt::format("pin {} must stop before it goes on ({})", name, print_time(pin.next_time())));
        if (!moves_end && index > 0)
            if (Pin const& before = m_own.pins[static_cast<std::size_t>(index - 1)]; time <= before.next_time())
                return wrong(fmt::format("pin {} must come after pin {} ({})", name, before.position.text(),
                                         print_time(before.next_time())));
        if ((moves_end || !pauses) && index + 1 < std::ssize(m_own.pins))
            if (Pin const& next = m_own.pins[static_cast<std::size_t>(index + 1)]; time >= next.time)
                return wrong(fmt::format("pin {} must come before pin {} ({})", name, next.position.text(),
                                         print_time(next.time)));
        return {};
    }

    Result<MovedTime> move_cue(std::size_t index, std::string const& key)
    {
        JsonValue const* const json = item_of(m_json, "show", index);
        if (!json || (key != "from" && key != "to"))
            return no_time();
        auto const from = time_of(json->find("from"));
        auto const to = time_of(json->find("to"));
        TRY_ASSIGN(std::int64_t const frame, frame_for(key == "from" ? from : to, key == "to"));
        Time const time = plain_time_of(m_frames, frame);
        if (key == "from" && to && time >= *to)
            return wrong(fmt::format("the cue cannot begin after its end ({})", print_time(*to)));
        if (key == "to" && from && time <= *from)
            return wrong(fmt::format("the cue cannot end before it begins ({})", print_time(*from)));
        if (key == "from" && from)
            TRY_VOID(keep_order(*json, *from, time));
        TRY_VOID(stay_inside(key == "from" ? from : to, time));
        set({"sections", m_index, "show", index, key}, written_frame(frame, json->find(key)));
        m_result.what = fmt::format("Move {} in {}", key == "from" ? "a cue" : "the end of a cue", name());
        return std::move(m_result);
    }

    /// A cue stays between the cues of its kind beside it.
    Result<void> keep_order(JsonValue const& json, Time now, Time time) const
    {
        for (char const* const kind : {"chord", "text", "strum"}) {
            JsonValue const* const value = json.find(kind);
            auto const own = value ? std::ranges::find(m_own.show, value->at, &ShowCue::at) : m_own.show.end();
            if (own == m_own.show.end())
                continue;
            for (ShowCue const& other : m_own.show) {
                bool const same_kind = own->chord.empty() == other.chord.empty() &&
                                       own->strum.empty() == other.strum.empty() && &other != &*own;
                if (same_kind && (*other.from < now ? time <= *other.from : *other.from > now && time >= *other.from))
                    return wrong(fmt::format("the cue cannot pass '{}' ({})", other.chord + other.text + other.strum,
                                             print_time(*other.from)));
            }
        }
        return {};
    }

    /// What is inside its part stays inside.
    Result<void> stay_inside(std::optional<Time> now, Time time) const
    {
        auto const end = m_times.to ? m_times.to : shown_to();
        auto const outside = [&](Time at) {
            return (m_times.from && at < *m_times.from - kOnScreenSlack) || (end && at > *end + kOnScreenSlack);
        };
        if (outside(time) && !(now && outside(*now)))
            return wrong(fmt::format("the cue would leave its part '{}'; move the part's edge first", name()));
        return {};
    }

    /// Where a time of a part goes that moves whole: from frame to frame where it is that of one, else as far.
    JsonValue shifted(Time time, Time by, JsonValue const* before) const
    {
        Time const frame_time = m_frames.time_of(m_frames.on_screen_at(time));
        if (std::chrono::abs(time - frame_time) <= kOnScreenSlack)
            return written_frame(m_frames.nearest(frame_time + by), before);
        TimeForm form = before ? form_of(*before, m_rate) : TimeForm{};
        form.frames = false;
        return written_time(whole_milliseconds(time + by + from_ticks(1, 1, 2000)), form);
    }

    void shift(DocumentPath path, JsonValue const* value, Time by)
    {
        if (auto const time = time_of(value))
            set(std::move(path), shifted(*time, by, value));
    }

    /// A pin's time, with both ends of a pause.
    void shift_pin(DocumentPath path, JsonValue const& value, Time by)
    {
        WrittenEnds const written = written_ends(value.text);
        if (!written.to)
            return shift(std::move(path), &value, by);
        JsonValue from = value, to = value;
        from.text = written.from;
        to.text = *written.to;
        auto const stops = time_of(&from), goes_on = time_of(&to);
        if (stops && goes_on)
            set(std::move(path), JsonValue::string(fmt::format("{} to {}", shifted(*stops, by, &from).text,
                                                               shifted(*goes_on, by, &to).text)));
    }

    void shift_all(Time by)
    {
        shift({"sections", m_index, "from"}, m_json.find("from"), by);
        shift({"sections", m_index, "to"}, m_json.find("to"), by);
        JsonValue const* const pins = m_json.find("pins");
        for (std::size_t n = 0; pins && n < pins->items.size(); ++n)
            if (pins->items[n].items.size() == 2)
                shift_pin({"sections", m_index, "pins", n, std::size_t{1}}, pins->items[n].items[1], by);
        JsonValue const* const show = m_json.find("show");
        for (std::size_t n = 0; show && n < show->items.size(); ++n)
            for (char const* const key : {"from", "to"})
                shift({"sections", m_index, "show", n, key}, show->items[n].find(key), by);
        JsonValue const* const seams = m_json.find("seams");
        for (std::size_t n = 0; seams && n < seams->items.size(); ++n)
            shift({"sections", m_index, "seams", n}, &seams->items[n], by);
    }

    Result<MovedTime> move_part()
    {
        if (!m_times.from)
            return wrong(fmt::format("'{}' has no time yet; tap it, or say when it begins", name()));
        TRY_ASSIGN(std::int64_t const frame, frame_for(m_times.from));
        Time const by = m_frames.time_of(frame) - m_frames.time_of(m_frames.on_screen_at(*m_times.from));
        auto const end = m_times.to ? m_times.to : m_times.bars_to;
        if (*m_times.from + by < Time{0})
            return wrong(fmt::format("'{}' cannot begin before the film", name()));
        shift_all(by);
        TRY_VOID(begin_at(frame, m_times.from));
        if (end)
            TRY_VOID(end_at(m_frames.nearest(*end + by), end));
        m_result.what = fmt::format("Move {}", name());
        return std::move(m_result);
    }

    LessonView const& m_view;
    Lesson const& m_lesson;
    Section const& m_own;
    std::size_t m_index;
    JsonValue const& m_json;
    MoveTo m_to;
    FrameClock const& m_frames;
    std::optional<FrameRate> m_rate;
    PartTimes m_times;
    std::optional<Neighbour> m_before;
    std::optional<Neighbour> m_after;
    MovedTime m_result;
};

} // namespace

Result<MovedTime> moved_time(LessonView const& view, DocumentPath const& path, MoveTo to, FrameClock const& frames)
{
    auto const index = index_at(path, 1);
    if (!is_key(path, 0, "sections") || !index || *index > 1'000'000)
        return no_time();
    TRY_ASSIGN(auto const part, part_of_file(view, static_cast<int>(*index)));
    return Mover(view, part, *index, to, frames).move(path);
}

} // namespace tabard::pipeline
