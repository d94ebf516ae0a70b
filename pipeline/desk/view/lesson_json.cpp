#include "pipeline/desk/view/lesson_json.h"

#include "pipeline/cues/meter_ticks.h"
#include "pipeline/desk/view/findings_json.h"
#include "pipeline/desk/view/json.h"
#include "pipeline/timeline/lesson_shapes.h"

#include <array>
#include <map>
#include <set>
#include <string_view>

namespace tabard::pipeline {
namespace {

constexpr SizePx kSizeWithoutFilm{1280, 720};

/// A version of the lesson with its times, as far as it was understood.
class Understood {
public:
    explicit Understood(LessonView const& view) : m_view(view)
    {
        bool const is_drawn = view.drawn && view.drawn->digest == view.digest;
        if (is_drawn) {
            m_lesson = &view.drawn->opened.lesson;
            m_timeline = &view.drawn->opened.timeline;
        } else if (view.file.reading.lesson) {
            m_lesson = &*view.file.reading.lesson;
            m_own_timeline.emplace(Timeline::resolve(*m_lesson, view.film.facts));
            m_timeline = &*m_own_timeline;
        }
        if (!m_lesson)
            return;
        for (SectionSpan const& span : m_timeline->sections())
            m_spans[span.at] = &span;
        for (Section const& section : view.file.reading.lesson->sections)
            m_timed.insert(section.at);
        note_ends(m_timeline->chords());
        note_ends(m_timeline->strums());
        note_ends(m_timeline->texts());
    }

    Lesson const* lesson() const { return m_lesson; }
    Timeline const& timeline() const { return *m_timeline; }
    /// By a part's place in the file; null where it was not understood.
    SectionSpan const* span(SourcePosition at) const
    {
        auto const found = m_spans.find(at);
        return found == m_spans.end() ? nullptr : found->second;
    }
    Section const& section(SectionSpan const& span) const
    {
        return m_lesson->sections[static_cast<std::size_t>(span.section)];
    }
    /// Whether the file says when the part begins.
    bool has_time(SectionSpan const& span) const { return m_timed.contains(span.at); }
    /// When a cue leaves the screen, by its place in the file.
    std::optional<Time> end_of(ShowCue const& cue) const
    {
        auto const found = m_ends.find(cue.at);
        return found == m_ends.end() ? std::nullopt : std::optional(found->second);
    }

private:
    template <class Span>
    void note_ends(std::vector<Span> const& spans)
    {
        for (Span const& span : spans)
            m_ends.try_emplace(span.at, span.out);
    }

    LessonView const& m_view;
    Lesson const* m_lesson = nullptr;
    Timeline const* m_timeline = nullptr;
    std::optional<Timeline> m_own_timeline;
    std::map<SourcePosition, SectionSpan const*> m_spans;
    std::set<SourcePosition> m_timed;
    std::map<SourcePosition, Time> m_ends;
};

/// Cues or pins by their places in the file: of fifty thousand none is sought one by one.
template <class Thing>
std::map<SourcePosition, Thing const*> by_place(std::vector<Thing> const& things)
{
    std::map<SourcePosition, Thing const*> places;
    for (Thing const& thing : things)
        places.try_emplace(thing.at, &thing);
    return places;
}

/// A text, a number or a truth value as it was written; null where it is missing or none of them.
Json written(JsonValue const& object, std::string_view key)
{
    JsonValue const* const value = object.find(key);
    if (!value)
        return nullptr;
    if (value->kind == JsonValue::Kind::string)
        return value->text;
    if (value->kind == JsonValue::Kind::boolean)
        return value->boolean;
    if (value->kind != JsonValue::Kind::number)
        return nullptr;
    Json number = Json::parse(value->text, nullptr, false);
    return number.is_number() ? number : Json(nullptr);
}

/// Bars as one text; a list of lines with a line end between two.
Json written_bars(JsonValue const& part)
{
    JsonValue const* const bars = part.find("bars");
    if (!bars || bars->kind != JsonValue::Kind::array)
        return written(part, "bars");
    std::string lines;
    for (JsonValue const& line : bars->items)
        lines += (&line == &bars->items.front() ? "" : "\n") + line.text;
    return lines;
}

Json written_json(JsonValue const& part)
{
    Json json;
    for (char const* const key : {"from", "to", "tempo", "meter", "strum", "count_in", "placement", "text"})
        json[key] = written(part, key);
    json["bars"] = written_bars(part);
    return json;
}

double pulses_a_minute(Tempo tempo) { return static_cast<double>(tempo.thousandths) / 1000; }

Json tempo_json(Section const& section, SectionSpan const& span)
{
    if (section.tempo)
        return pulses_a_minute(**section.tempo);
    return span.map ? Json(pulses_a_minute(span.map->tempo_at(0))) : Json(nullptr);
}

Json pins_json(JsonValue const& part, Section const& section)
{
    Json list = Json::array();
    JsonValue const* const pins = part.find("pins");
    auto const known = by_place(section.pins);
    for (std::size_t i = 0; pins && i < pins->items.size(); ++i) {
        auto const pin = known.find(pins->items[i].at);
        if (pin == known.end())
            continue;
        Json goes_on = nullptr;
        if (auto const& next = pin->second->goes_on)
            goes_on = {{"bar", next->position.text()}, {"time", json_seconds(next->time)}};
        list.push_back({{"index", i},
                        {"bar", pin->second->position.text()},
                        {"time", json_seconds(pin->second->time)},
                        {"goes_on", std::move(goes_on)}});
    }
    return list;
}

Json show_json(JsonValue const& part, Section const& section, Understood const& understood)
{
    Json list = Json::array();
    JsonValue const* const show = part.find("show");
    auto const known = by_place(section.show);
    for (std::size_t i = 0; show && i < show->items.size(); ++i) {
        for (char const* const kind : {"chord", "text", "strum"}) {
            JsonValue const* const value = show->items[i].find(kind);
            auto const cue = value ? known.find(value->at) : known.end();
            if (cue != known.end())
                list.push_back({{"index", i},
                                {"kind", kind},
                                {"value", value->text},
                                {"from", json_seconds(*cue->second->from)},
                                {"to", json_seconds(understood.end_of(*cue->second))},
                                {"ends", show->items[i].find("to") != nullptr}});
        }
    }
    return list;
}

/// The place in the chart at which a chord begins, to the nearest tick: instants are rounded to flicks.
BarPosition place_of(ChordSpan const& chord, TempoMap const& map)
{
    std::int64_t const before = map.offset_at(chord.in);
    std::int64_t const after = before + 1;
    bool const nearer = map.time_at(after) - chord.in < chord.in - map.time_at(before);
    return BarPosition::from_offset(nearer ? after : before, map.meter());
}

std::map<int, Json> changes_by_section(Timeline const& timeline)
{
    std::map<int, TempoMap const*> maps;
    for (SectionSpan const& span : timeline.sections())
        if (span.map)
            maps[span.section] = &*span.map;
    std::map<int, Json> changes;
    for (ChordSpan const& chord : timeline.chords()) {
        if (!chord.played)
            continue;
        BarPosition const place = place_of(chord, *maps.at(chord.section));
        changes[chord.section].push_back({{"from", json_seconds(chord.in)},
                                          {"to", json_seconds(chord.out)},
                                          {"chord", chord.name},
                                          {"bar", place.bar},
                                          {"beat", place.beat}});
    }
    return changes;
}

Json times_json(SectionSpan const* span, bool timed)
{
    bool const played = timed && span->bars_in < span->bars_out;
    return {{"from", timed ? json_seconds(std::optional(span->in)) : Json(nullptr)},
            {"to", timed ? json_seconds(std::optional(span->out)) : Json(nullptr)},
            {"shown_from", timed ? json_seconds(std::optional(span->shown_from)) : Json(nullptr)},
            {"bars_from", played ? json_seconds(std::optional(span->bars_in)) : Json(nullptr)},
            {"bars_to", played ? json_seconds(std::optional(span->bars_out)) : Json(nullptr)}};
}

Json part_json(JsonValue const& part, std::size_t index, Understood const& understood,
               std::map<int, Json> const& changes)
{
    SectionSpan const* const span = understood.span(part.at);
    Section const* const section = span ? &understood.section(*span) : nullptr;
    Json json{{"index", index}, {"name", section ? Json(*section->name) : written(part, "name")}};
    if (!json["name"].is_string())
        json["name"] = "";
    json["as"] = written(part, "as");
    json.update(times_json(span, span && understood.has_time(*span)));
    json["written"] = written_json(part);
    json["tempo"] = section ? tempo_json(*section, *span) : Json(nullptr);
    json["meter"] = section ? section->meter->text() : understood.lesson()->meter->text();
    json["strum"] = section && section->strum ? Json(**section->strum) : Json(nullptr);
    json["pins"] = section ? pins_json(part, *section) : Json::array();
    json["show"] = section ? show_json(part, *section, understood) : Json::array();
    auto const played = span ? changes.find(span->section) : changes.end();
    json["changes"] = played == changes.end() ? Json::array() : played->second;
    return json;
}

Json parts_json(JsonValue const& document, Understood const& understood)
{
    Json list = Json::array();
    JsonValue const* const sections = document.find("sections");
    if (!sections || !understood.lesson())
        return list;
    auto const changes = changes_by_section(understood.timeline());
    for (std::size_t i = 0; i < sections->items.size(); ++i)
        list.push_back(part_json(sections->items[i], i, understood, changes));
    return list;
}

/// Chord names as they first appear, those with a shape of the author's first.
std::vector<std::string> chord_names(Lesson const& lesson)
{
    std::vector<std::string> names;
    std::set<std::string> seen{""};
    auto const add = [&](std::string const& name) {
        if (seen.insert(name).second)
            names.push_back(name);
    };
    for (ShapeEntry const& entry : lesson.shapes)
        add(entry.name);
    for (Section const& section : lesson.sections) {
        if (section.bars)
            for (WrittenBar const& bar : section.bars->value.written)
                for (ChartChord const& chord : bar.chords)
                    add(chord.name);
        for (ShowCue const& cue : section.show)
            add(cue.chord);
    }
    return names;
}

Json shape_json(std::string const& name, NamedShape const& shape, bool own)
{
    Json level = nullptr;
    if (shape.level)
        level = *shape.level == Level::easy ? "easy" : "full";
    return {{"name", name},
            {"level", level},
            {"frets", shape.shape.frets_text()},
            {"fingers", shape.shape.fingers_text()},
            {"own", own}};
}

Json shapes_json(Lesson const& lesson)
{
    Json list = Json::array();
    LessonShapes shapes(lesson);
    for (std::string const& name : chord_names(lesson)) {
        auto const known = shapes.all(name);
        for (NamedShape const& shape : known)
            list.push_back(shape_json(name, shape, lesson.find_shape(name) != nullptr));
        if (known.empty())
            list.push_back({{"name", name}, {"level", nullptr}, {"frets", ""}, {"fingers", ""}, {"own", false}});
    }
    return list;
}

/// A strum may be written as its steps alone, or as an object that has them.
Json strums_json(Lesson const& lesson, JsonValue const& document)
{
    Json list = Json::array();
    JsonValue const* const written = document.find("strums");
    for (StrumEntry const& strum : lesson.strums) {
        JsonValue const* const entry = written ? written->find(strum.name) : nullptr;
        Json path{"strums", strum.name};
        if (entry && entry->find("steps"))
            path.push_back("steps");
        list.push_back({{"name", strum.name}, {"steps", strum.pattern.text()}, {"path", path}});
    }
    return list;
}

Json lesson_facts(JsonValue const& document)
{
    Json json;
    for (char const* const key : {"names", "key", "capo", "meter", "tempo", "instrument", "placement", "theme",
                                  "left_handed", "strum", "footage"})
        json[key] = written(document, key);
    return json;
}

double nominal_rate(FrameRate rate) { return static_cast<double>(rate.num) / rate.den; }

Json film_json(KnownFilm const& film, FilmState const& state)
{
    SizePx const size = displayed_size(film);
    return {{"name", film.path.filename().string()},
            {"state", state.state},
            {"share", state.share},
            {"why", state.why},
            {"width", size.width},
            {"height", size.height},
            {"start", json_seconds(film.facts.first_picture)},
            {"end", json_seconds(film.facts.duration)},
            {"rate", nominal_rate(film.facts.rate)},
            {"variable", film.headers && film.headers->video->variable_rate},
            {"sound", film.headers && !film.headers->sound.empty()}};
}

} // namespace

FilmState film_state(KnownFilm const& film)
{
    if (film.headers)
        return {"ready", 1, ""};
    if (!film.error)
        return {"missing", 0, "the cue file names no film"};
    return {film.error->kind == ErrorKind::not_found ? "missing" : "refused", 0, film.error->what};
}

KnownFilm const& film_of(LessonView const& view)
{
    return view.film.path.empty() && view.drawn ? view.drawn->opened.film : view.film;
}

SizePx displayed_size(KnownFilm const& film)
{
    return film.headers ? film.headers->video->displayed : kSizeWithoutFilm;
}

std::string lesson_json(LessonView const& view, FilmState const& film)
{
    Understood const understood(view);
    Lesson const* const lesson = understood.lesson();
    JsonValue const& document = view.file.document;
    Json const json{{"digest", view.digest},
                    {"name", view.file.path.filename().string()},
                    {"title", lesson ? *lesson->title : ""},
                    {"undo", view.undo},
                    {"redo", view.redo},
                    {"broken", view.broken},
                    {"drawn", view.drawn ? view.drawn->digest : ""},
                    {"film", film_json(film_of(view), film)},
                    {"lesson", lesson_facts(document)},
                    {"parts", parts_json(document, understood)},
                    {"shapes", lesson ? shapes_json(*lesson) : Json::array()},
                    {"strums", lesson ? strums_json(*lesson, document) : Json::array()},
                    {"findings", findings_json(view.found.findings, document)}};
    return json_text(json);
}

} // namespace tabard::pipeline
