#include "pipeline/desk/music/shape_answers.h"

#include "overlay/drawing/chord_chart.h"
#include "overlay/music/names/chord_name.h"
#include "overlay/music/shapes/fingering.h"
#include "pipeline/desk/music/own_shape.h"
#include "pipeline/desk/music/shape_choices.h"
#include "pipeline/desk/view/json.h"
#include "pipeline/desk/view/part_of_file.h"

namespace tabard::pipeline {
namespace {

constexpr std::size_t kLongestChord = 100; ///< bytes of a name; no chord comes near it

/// The lesson, and the part whose chart is looked at; of a file that cannot be read an empty lesson.
struct Asked {
    Lesson lesson;
    std::optional<std::size_t> section;
};

Asked asked(LessonView const& view, Request const& request)
{
    if (auto const index = request.seconds("part"); index && *index >= 0)
        if (auto part = part_of_file(view, static_cast<int>(*index)); part)
            return {std::move(part->lesson), part->section};
    return {sketch_of(view).value_or(Lesson{}), std::nullopt};
}

Json choice_json(LessonView const& view, std::string const& name, ShapeChoice const& choice)
{
    return {{"frets", choice.shape.frets_text()},
            {"fingers", choice.shape.fingers_text()},
            {"words", choice.words},
            {"stays", choice.stays},
            {"used", choice.used},
            {"edits", json_of(shape_edits(view.file.document, name, choice.shape))}};
}

} // namespace

Answer shapes_answer(LessonView const& view, Request const& request)
{
    std::string const name = request.value("chord");
    if (name.empty() || name.size() > kLongestChord)
        return refusal(400, "a chord's name is missing, or too long");
    Asked const about = asked(view, request);
    auto const chord = about.lesson.chord(name);
    Json answer{{"chord", name}, {"names", chord.has_value()}};
    if (!chord) {
        auto const& why = chord.error().what;
        auto const advice = why.find("; ");
        answer["what"] = why.substr(0, advice);
        answer["fix"] = advice == std::string::npos ? "" : why.substr(advice + 2);
    }
    answer["choices"] = Json::array();
    auto const known = chord ? std::optional(*chord) : std::nullopt;
    for (ShapeChoice const& choice : shape_choices(about.lesson, name, known, about.section))
        answer["choices"].push_back(choice_json(view, name, choice));
    return json_answer(answer);
}

Answer diagram_answer(LessonView const& view, Request const& request)
{
    auto shape = overlay::Shape::parse(request.value("frets"), request.value("fingers"));
    if (!shape)
        return refusal(shape.error());
    if (shape->fingers.empty())
        shape->fingers = overlay::assign_fingers(shape->frets);
    auto const& lesson = view.file.reading.lesson;
    overlay::ChartEntry const entry{overlay::label_of(request.value("name").substr(0, kLongestChord),
                                                      lesson ? *lesson->names : overlay::NoteNames::english),
                                    *std::move(shape), ""};
    auto const picture = overlay::draw_chord_chart({entry}, 1, overlay::ChartFormat::png, overlay::default_theme(),
                                                   lesson ? *lesson->capo : 0, lesson && *lesson->left_handed);
    if (!picture)
        return refusal(picture.error());
    return {200, "image/png", std::string(reinterpret_cast<char const*>(picture->data()), picture->size()), {}, {}};
}

Answer verdict_answer(LessonView const& view, Request const& request)
{
    std::string const name = request.value("chord");
    if (name.size() > kLongestChord)
        return refusal(400, "the chord's name is too long");
    Asked const about = asked(view, request);
    auto const own = own_shape(about.lesson, name, request.value("frets"), request.value("fingers"), about.section);
    if (!own)
        return refusal(own.error());
    return json_answer({{"fine", own->fine},
                        {"what", own->what},
                        {"fingers", own->fingers},
                        {"names", own->names},
                        {"edits", json_of(shape_edits(view.file.document, name, own->shape))}});
}

} // namespace tabard::pipeline
