#include "pipeline/desk/runs/heard_parts.h"

#include "pipeline/cues/pin_text.h"
#include "pipeline/cues/writer.h"
#include "pipeline/desk/runs/heard_state.h"
#include "pipeline/desk/view/json.h"
#include "pipeline/desk/view/lesson_view.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// What was heard of a part, and what the listener says of it.
struct ToldPart {
    HeardSection heard;
    std::string words;

    /// Heard, and to be taken only if the author says so.
    bool doubtful() const { return heard.verdict == Verdict::doubtful; }
};

Verdict verdict_of(Json const& section)
{
    auto const word = section.at("result").get<std::string>();
    for (Verdict const verdict : {Verdict::sure, Verdict::doubtful})
        if (word == verdict_word(verdict))
            return verdict;
    return Verdict::not_found;
}

Error not_understood() { return {ErrorKind::decode, "what was heard is not understood; listen again"}; }

Result<std::vector<Pin>> pins_of(Json const& list)
{
    std::vector<Pin> pins;
    for (Json const& item : list) {
        TRY_ASSIGN(Pin pin, parse_pin(item.at(0).get<std::string>(), item.at(1).get<std::string>()));
        pins.push_back(std::move(pin));
    }
    return pins;
}

Result<ToldPart> told_part(Json const& json, Lesson const& lesson)
{
    ToldPart told;
    HeardSection& heard = told.heard;
    heard.section = json.at("section").get<int>();
    heard.name = json.at("name").get<std::string>();
    auto const index = static_cast<std::size_t>(heard.section);
    if (heard.section < 0 || index >= lesson.sections.size() || *lesson.sections[index].name != heard.name)
        return Error{ErrorKind::decode, "the parts were changed while the film was heard; listen again"};
    heard.at = lesson.sections[index].at;
    told.words = json.at("words").get<std::string>();
    heard.verdict = verdict_of(json);
    heard.reason = json.value("reason", "");
    if (heard.verdict == Verdict::not_found)
        return told;
    heard.tempo.thousandths = std::llround(json.at("tempo").get<double>() * 1000);
    TRY_ASSIGN(heard.pins, pins_of(json.at("exact_pins")));
    return told;
}

Result<std::vector<ToldPart>> told_parts(Json const& json, Lesson const& lesson)
{
    std::vector<ToldPart> parts;
    for (Json const& section : json.at("sections")) {
        TRY_ASSIGN(ToldPart part, told_part(section, lesson));
        parts.push_back(std::move(part));
    }
    return parts;
}

/// The sure parts, and perhaps one that is doubtful.
LessonHeard heard_with(std::vector<ToldPart> const& parts, ToldPart const* doubtful)
{
    LessonHeard heard;
    for (ToldPart const& part : parts) {
        heard.sections.push_back(part.heard);
        if (&part == doubtful)
            heard.sections.back().taken = true;
    }
    return heard;
}

Json value_json(JsonValue const& value)
{
    Json json = Json::parse(value_text(value, 0, 0), nullptr, false);
    return json.is_discarded() ? Json(value.text) : json;
}

/// From a cue file to the same with what was heard, as edits.
class Edits {
public:
    Edits(JsonValue const& before, JsonValue const& after, Lesson const& lesson)
        : m_before(sections_of(before)), m_after(sections_of(after)), m_lesson(lesson)
    {
    }

    Json of(TakenParts const& taken) const
    {
        Json edits = Json::array();
        for (std::size_t part = 0; part < m_lesson.sections.size(); ++part)
            for (char const* const key : {"from", "to", "tempo", "pins"}) {
                bool const end = (key == std::string_view{"from"} && taken.from.contains(part)) ||
                                 (key == std::string_view{"to"} && taken.to.contains(part));
                if (end || taken.whole.contains(part))
                    add(part, key, edits);
            }
        return edits;
    }

    Json all() const
    {
        TakenParts every;
        for (std::size_t part = 0; part < m_lesson.sections.size(); ++part)
            every.whole.insert(part);
        return of(every);
    }

private:
    static std::vector<JsonValue> sections_of(JsonValue const& document)
    {
        JsonValue const* const sections = document.find("sections");
        return sections == nullptr ? std::vector<JsonValue>{} : sections->items;
    }

    void add(std::size_t part, char const* key, Json& edits) const
    {
        auto const item = std::ranges::find(m_before, m_lesson.sections[part].at, &JsonValue::at);
        if (item == m_before.end())
            return;
        auto const place = static_cast<std::size_t>(item - m_before.begin());
        JsonValue const* const before = item->find(key);
        JsonValue const* const after = m_after[place].find(key);
        if (after != nullptr && (before == nullptr || !(*before == *after)))
            edits.push_back({{"path", {"sections", place, key}}, {"value", value_json(*after)}});
    }

    std::vector<JsonValue> m_before;
    std::vector<JsonValue> m_after;
    Lesson const& m_lesson;
};

Json state_json(PartState const& state)
{
    Json pins = Json::array();
    for (Pin const& pin : state.pins) {
        pins.push_back({pin_place(pin), json_seconds(pin.time)});
        if (pin.next_time() > pin.time)
            pins.back().push_back(json_seconds(pin.next_time()));
    }
    return {{"from", json_seconds(state.times.from)}, {"to", json_seconds(state.times.to)}, {"pins", std::move(pins)}};
}

std::string doubt_of_part(ToldPart const& part)
{
    switch (part.heard.verdict) {
    case Verdict::sure:
        return "";
    case Verdict::doubtful:
        return part.heard.reason;
    case Verdict::not_found:
        break;
    }
    return fmt::format("not found: {}", part.heard.reason);
}

bool touches(TakenParts const& taken, std::size_t part)
{
    return taken.whole.contains(part) || taken.from.contains(part) || taken.to.contains(part);
}

Json part_json(ToldPart const& told, std::vector<ToldPart> const& all, LessonFile const& file)
{
    Lesson const& lesson = *file.reading.lesson;
    auto const part = static_cast<std::size_t>(told.heard.section);
    LessonHeard const heard = heard_with(all, told.doubtful() ? &told : nullptr);
    Json edits = Json::array();
    Json with = Json::array();
    if (told.heard.trusted() || told.doubtful()) {
        TakenParts const taken = taken_with(part, lesson, heard);
        edits = Edits{file.document, with_heard_pins(file.document, lesson, heard), lesson}.of(taken);
        for (ToldPart const& other : all)
            if (touches(taken, static_cast<std::size_t>(other.heard.section)) && &other != &told)
                with.push_back(other.heard.section);
    }
    return {{"part", part},
            {"name", told.heard.name},
            {"words", told.words.substr(0, told.words.find_last_not_of('\n') + 1)},
            {"doubt", doubt_of_part(told)},
            {"before", state_json(written_states(lesson)[part])},
            {"after", state_json(heard_states(lesson, heard)[part])},
            {"with", std::move(with)},
            {"edits", std::move(edits)}};
}

Json lines_of(std::string_view text)
{
    Json lines = Json::array();
    while (!text.empty()) {
        std::size_t const end = std::min(text.find('\n'), text.size());
        lines.push_back(text.substr(0, end));
        text.remove_prefix(std::min(end + 1, text.size()));
    }
    return lines;
}

Result<Json> heard_json(Json const& json, LessonFile const& file, std::optional<int> part)
{
    Lesson const& lesson = *file.reading.lesson;
    TRY_ASSIGN(auto const told, told_parts(json, lesson));
    Json parts = Json::array();
    for (ToldPart const& one : told)
        if (!part || one.heard.section == *part)
            parts.push_back(part_json(one, told, file));
    LessonHeard const sure = heard_with(told, nullptr);
    Json const all = Edits{file.document, with_heard_pins(file.document, lesson, sure), lesson}.all();
    return Json{{"digest", text_digest(file.text)},
                {"parts", std::move(parts)},
                {"remarks", lines_of(json.at("words").get<std::string>())},
                {"edits", part ? Json::array() : all}};
}

bool is_plain(Section const& section)
{
    return !section.bars && section.show.empty() && section.pins.empty() && !section.text && section.words.empty();
}

Json proposed_json(Lesson const& proposed, JsonValue const& document, LessonFile const& file)
{
    Json parts = Json::array();
    for (PartState const& state : written_states(proposed)) {
        Section const& section = proposed.sections[parts.size()];
        Json part{{"part", nullptr},   {"name", *section.name},      {"words", ""},           {"doubt", ""},
                  {"before", nullptr}, {"after", state_json(state)}, {"edits", Json::array()}};
        part["tempo"] = section.tempo ? Json(static_cast<double>((*section.tempo)->thousandths) / 1000) : Json(nullptr);
        parts.push_back(std::move(part));
    }
    Json edits = Json::array();
    JsonValue const* const sections = document.find("sections");
    bool const nothing_yet = file.reading.lesson && std::ranges::all_of(file.reading.lesson->sections, is_plain);
    if (nothing_yet && sections != nullptr)
        edits.push_back({{"path", {"sections"}}, {"value", value_json(*sections)}});
    return {{"digest", text_digest(file.text)},
            {"parts", std::move(parts)},
            {"remarks", Json::array()},
            {"edits", std::move(edits)}};
}

} // namespace

Result<std::string> heard_parts(std::string_view heard, LessonFile const& file, std::optional<int> part)
{
    if (!file.reading.lesson)
        return not_understood();
    try {
        TRY_ASSIGN(Json const json, heard_json(Json::parse(heard), file, part));
        return json_text(json);
    } catch (Json::exception const&) {
        return not_understood();
    }
}

Result<std::string> proposed_parts(std::string_view proposed, LessonFile const& file)
{
    TRY_ASSIGN(JsonValue const document, parse_document(proposed));
    auto const reading = parse_lesson(proposed, file.path);
    if (!reading.lesson)
        return not_understood();
    return json_text(proposed_json(*reading.lesson, document, file));
}

} // namespace tabard::pipeline
