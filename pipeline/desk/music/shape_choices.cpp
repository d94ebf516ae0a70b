#include "pipeline/desk/music/shape_choices.h"

#include "overlay/music/hand/hand.h"
#include "overlay/music/hand/movement.h"
#include "overlay/music/instrument.h"
#include "overlay/music/shapes/chord_naming.h"
#include "overlay/music/shapes/fingering.h"
#include "overlay/music/shapes/shape_search.h"
#include "overlay/music/shapes/shape_verdict.h"
#include "pipeline/publish/lesson_words.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr std::size_t kMostStaying = 3;   ///< chords beside it that a choice names
constexpr std::size_t kMostSearched = 60; ///< shapes among which the one in use is sought for its reason

void note(std::vector<ChordBeside>& beside, LessonShapes& shapes, std::string const& name, bool before)
{
    auto found = std::ranges::find(beside, name, &ChordBeside::name);
    if (found == beside.end()) {
        auto const& shape = shapes.at(name, Level::full);
        if (!shape)
            return;
        found = beside.insert(beside.end(), ChordBeside{name, *shape, false, false});
    }
    (before ? found->before : found->after) = true;
}

std::vector<std::string> divided(std::string_view words)
{
    std::vector<std::string> parts;
    for (std::size_t begin = 0; begin < words.size();) {
        std::size_t const end = std::min(words.find(", ", begin), words.size());
        parts.emplace_back(words.substr(begin, end - begin));
        begin = end + 2;
    }
    return parts;
}

class Chooser {
public:
    Chooser(Lesson const& lesson, std::string const& name, std::optional<overlay::ChordName> const& chord,
            std::optional<std::size_t> section)
        : m_lesson(lesson),
          m_name(name),
          m_chord(chord),
          m_shapes(lesson),
          m_beside(chords_beside(lesson, m_shapes, name, section))
    {
        if (chord)
            m_found = overlay::find_shapes(*chord, *lesson.tuning, kMostSearched, *lesson.capo);
    }

    std::vector<ShapeChoice> choose(std::size_t most)
    {
        if (auto const& used = m_shapes.at(m_name, Level::full))
            add(*used, true, own_words(*used));
        if (auto const* const entry = m_lesson.find_shape(m_name))
            for (NamedShape const& own : entry->shapes)
                add(own.shape, false, own_words(own.shape));
        for (overlay::FoundShape const& found : m_found)
            if (m_choices.size() < most)
                add(found.shape, false, {});
        return std::move(m_choices);
    }

private:
    /// "yours", and for which level.
    std::vector<std::string> own_words(overlay::Shape const& shape) const
    {
        auto const* const entry = m_lesson.find_shape(m_name);
        if (!entry)
            return {};
        auto const own = std::ranges::find(entry->shapes, shape, &NamedShape::shape);
        if (own == entry->shapes.end())
            return {};
        return {own->level ? fmt::format("yours ({})", level_word(*own->level)) : "yours"};
    }

    void add(overlay::Shape const& shape, bool used, std::vector<std::string> words)
    {
        if (std::ranges::find(m_choices, shape, &ShapeChoice::shape) != m_choices.end())
            return;
        ShapeChoice choice{shape, std::move(words), {}, used};
        for (auto& word : reason(shape))
            choice.words.push_back(std::move(word));
        auto staying = staying_fingers(shape, m_beside);
        choice.words.insert(choice.words.end(), staying.words.begin(), staying.words.end());
        choice.stays = std::move(staying.chords);
        add_other_name(choice);
        m_choices.push_back(std::move(choice));
    }

    std::vector<std::string> reason(overlay::Shape const& shape) const
    {
        auto const found = std::ranges::find_if(
            m_found, [&](overlay::FoundShape const& each) { return each.shape.frets == shape.frets; });
        if (found != m_found.end())
            return divided(found->reason);
        auto const instrument = overlay::Instrument::named(*m_lesson.instrument).value_or(overlay::Instrument{});
        if (shape.frets.size() != m_lesson.tuning->open_strings.size())
            return {};
        return divided(text_of(overlay::judge_hand(shape, *m_lesson.tuning, instrument.scale_mm, *m_lesson.capo)));
    }

    void add_other_name(ShapeChoice& choice) const
    {
        if (!m_chord || choice.shape.frets.size() != m_lesson.tuning->open_strings.size())
            return;
        for (auto const& other : overlay::names_of(choice.shape, *m_lesson.tuning, shapes_key_of(m_lesson)))
            if (other.verdict.exact() && other.chord != *m_chord)
                return choice.words.push_back(fmt::format("sounds also as {}", other.chord.text()));
    }

    Lesson const& m_lesson;
    std::string const& m_name;
    std::optional<overlay::ChordName> const& m_chord;
    LessonShapes m_shapes;
    std::vector<ChordBeside> m_beside;
    std::vector<overlay::FoundShape> m_found;
    std::vector<ShapeChoice> m_choices;
};

JsonValue shape_value(overlay::Shape const& shape)
{
    bool const usual = shape.fingers.empty() || shape.fingers == overlay::assign_fingers(shape.frets);
    if (usual)
        return JsonValue::string(shape.frets_text());
    return JsonValue::object({{"frets", JsonValue::string(shape.frets_text()), {}},
                              {"fingers", JsonValue::string(shape.fingers_text()), {}}});
}

} // namespace

std::vector<ChordBeside> chords_beside(Lesson const& lesson, LessonShapes& shapes, std::string_view name,
                                       std::optional<std::size_t> section)
{
    std::vector<ChordBeside> beside;
    for (std::size_t n = 0; n < lesson.sections.size(); ++n) {
        if ((section && n != *section) || !lesson.sections[n].bars)
            continue;
        std::string const* before = nullptr;
        for (int const bar : lesson.sections[n].bars->value.played)
            for (ChartChord const& chord :
                 lesson.sections[n].bars->value.written[static_cast<std::size_t>(bar)].chords) {
                if (before && *before != chord.name && chord.name == name && !before->empty())
                    note(beside, shapes, *before, true);
                if (before && *before != chord.name && *before == name && !chord.name.empty())
                    note(beside, shapes, chord.name, false);
                before = &chord.name;
            }
    }
    return beside;
}

StayingFingers staying_fingers(overlay::Shape const& shape, std::vector<ChordBeside> const& beside)
{
    struct Staying {
        ChordBeside const* chord;
        std::ptrdiff_t fingers;
    };
    std::vector<Staying> all;
    for (ChordBeside const& chord : beside) {
        if (chord.shape.frets.size() != shape.frets.size())
            continue;
        auto const moves = overlay::moves_between(chord.shape, shape);
        auto const fingers = std::ranges::count(moves, overlay::FingerMove::Kind::stays, &overlay::FingerMove::kind);
        if (fingers > 0)
            all.push_back({&chord, fingers});
    }
    std::ranges::stable_sort(all, std::greater{}, &Staying::fingers);
    StayingFingers result;
    for (auto const& [chord, fingers] : all) {
        result.chords.push_back(chord->name);
        if (result.words.size() < kMostStaying)
            result.words.push_back(fmt::format(
                "{} {} {}{}{} {}", fingers, fingers == 1 ? "finger stays" : "fingers stay", chord->before ? "from" : "",
                chord->before && chord->after ? " and " : "", chord->after ? "to" : "", chord->name));
    }
    return result;
}

std::vector<ShapeChoice> shape_choices(Lesson const& lesson, std::string const& name,
                                       std::optional<overlay::ChordName> const& chord,
                                       std::optional<std::size_t> section, std::size_t most)
{
    return Chooser(lesson, name, chord, section).choose(most);
}

std::vector<DocumentSet> shape_edits(JsonValue const& document, std::string const& name, overlay::Shape const& shape)
{
    DocumentPath path{"shapes", name};
    JsonValue const* const shapes = document.find("shapes");
    JsonValue const* entry = shapes ? shapes->find(name) : nullptr;
    if (entry && (entry->find("easy") || entry->find("full"))) {
        path.emplace_back("full");
        entry = entry->find("full");
    }
    if (!entry || !entry->find("frets"))
        return {{std::move(path), shape_value(shape)}};
    DocumentPath fingers = path;
    path.emplace_back("frets");
    fingers.emplace_back("fingers");
    return {{std::move(path), JsonValue::string(shape.frets_text())},
            {std::move(fingers), JsonValue::string(shape.fingers_text())}};
}

} // namespace tabard::pipeline
