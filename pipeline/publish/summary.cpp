#include "pipeline/publish/summary.h"

#include "overlay/base/utf8.h"
#include "overlay/music/capo/capo.h"
#include "overlay/music/names/chord_name.h"
#include "overlay/sheet/web_link.h"
#include "pipeline/publish/chapters.h"
#include "pipeline/publish/lesson_words.h"
#include "pipeline/timeline/lesson_shapes.h"

#include <functional>

#include <fmt/format.h>
#include <kainjow/mustache.hpp>
#include <nlohmann/json.hpp>

namespace tabard::pipeline {
namespace {

using Json = nlohmann::ordered_json;

Json shapes_json(LessonShapes& of_lesson, std::string const& name)
{
    Json shapes = Json::array();
    for (auto const& named : of_lesson.all(name)) {
        Json shape{{"frets", named.shape.frets_text()}, {"fingers", named.shape.fingers_text()}};
        if (named.level)
            shape["level"] = level_word(*named.level);
        shapes.push_back(std::move(shape));
    }
    return shapes;
}

/// What is heard when the shape is played behind the capo; the name itself where it is no chord name.
std::string sounding_name(Lesson const& lesson, std::string const& name)
{
    auto const chord = lesson.chord(name);
    if (!chord || chord->no_chord)
        return name;
    auto const key = shapes_key_of(lesson).value_or(overlay::Key{chord->root, false});
    return overlay::sounding_chord(*chord, key, *lesson.capo).text(*lesson.names);
}

Json chapters_json(std::vector<Chapter> const& chapters)
{
    Json list = Json::array();
    for (auto const& chapter : chapters)
        list.push_back({{"title", chapter.title},
                        {"from", static_cast<double>(to_ticks(chapter.from, 1, 1000)) / 1000},
                        {"to", static_cast<double>(to_ticks(chapter.to, 1, 1000)) / 1000}});
    return list;
}

std::string capo_words(Lesson const& lesson)
{
    return *lesson.capo > 0 ? fmt::format("Capo {}", *lesson.capo) : "No capo";
}

using kainjow::mustache::data;

data chord_data(Lesson const& lesson, LessonShapes& of_lesson, std::string const& name, bool last)
{
    data chord;
    chord.set("name", on_one_line(pretty_name(lesson, name)));
    chord.set("sounds", on_one_line(pretty_name(lesson, sounding_name(lesson, name))));
    auto const shapes = of_lesson.all(name);
    chord.set("frets", shapes.empty() ? "" : shapes.front().shape.frets_text());
    chord.set("last", last);
    return chord;
}

/// Set only where there is something to say, so that {{#key}}...{{/key}} can ask.
void set_if_any(data& facts, std::string const& key, std::string const& value)
{
    if (!value.empty())
        facts.set(key, value);
}

} // namespace

std::string summary_json(Lesson const& lesson, std::vector<Chapter> const& chapters)
{
    Json summary{{"version", 1}, {"title", *lesson.title}, {"instrument", *lesson.instrument}};
    summary["tuning"] = tuning_words(*lesson.tuning);
    summary["capo"] = *lesson.capo;
    if (*lesson.names != overlay::NoteNames::english)
        summary["names"] = overlay::word_of(*lesson.names);
    if (auto const key = sounding_key_of(lesson))
        summary["key"] = key->text(*lesson.names);
    if (auto const key = shapes_key_of(lesson))
        summary["shapes_key"] = key->text(*lesson.names);
    summary["meter"] = lesson.meter->text();
    if (lesson.tempo)
        summary["tempo"] = static_cast<double>((*lesson.tempo)->thousandths) / 1000;
    summary["chords"] = Json::array();
    LessonShapes shapes(lesson);
    for (auto const& name : chord_names(lesson))
        summary["chords"].push_back(
            {{"name", name}, {"sounds", sounding_name(lesson, name)}, {"shapes", shapes_json(shapes, name)}});
    summary["chapters"] = chapters_json(chapters);
    if (overlay::is_web_link(*lesson.link)) // programs make it a link to click on
        summary["link"] = *lesson.link;
    // Bytes of a title that are no UTF-8 must not stop the work.
    return summary.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

Result<std::string> description(std::string_view mustache, Lesson const& lesson, std::vector<Chapter> const& chapters)
{
    kainjow::mustache::mustache text{std::string{mustache}};
    if (!text.is_valid())
        return Error{ErrorKind::invalid_input,
                     fmt::format("the template of the description is no Mustache text: {}", text.error_message())};
    text.set_custom_escape([](std::string const& value) { return value; }); // plain text, no HTML
    data facts;
    facts.set("title", on_one_line(*lesson.title)); // a line of its own could pass for a chapter
    facts.set("capo", capo_words(lesson));
    facts.set("tuning", tuning_words(*lesson.tuning));
    facts.set("meter", lesson.meter->text());
    auto const sounding = sounding_key_of(lesson);
    auto const shapes = shapes_key_of(lesson);
    set_if_any(facts, "key", sounding ? sounding->pretty(*lesson.names) : "");
    set_if_any(facts, "shapes_key", shapes && *lesson.capo > 0 ? shapes->pretty(*lesson.names) : "");
    set_if_any(facts, "tempo", lesson.tempo ? tempo_words(**lesson.tempo) : "");
    set_if_any(facts, "link", on_one_line(*lesson.link));
    data chords{data::type::list};
    auto const names = chord_names(lesson);
    LessonShapes of_lesson(lesson);
    for (auto const& name : names)
        chords << chord_data(lesson, of_lesson, name, &name == &names.back());
    facts.set("chords", chords);
    data list{data::type::list};
    for (auto const& chapter : chapters) {
        data entry;
        auto const line = chapter_list({chapter});
        entry.set("time", line.substr(0, line.find(' ')));
        entry.set("title", chapter.title);
        list << entry;
    }
    facts.set("chapters", list);
    return text.render(facts);
}

} // namespace tabard::pipeline
