#include "pipeline/timeline/lesson_shapes.h"

#include "overlay/music/hand/shapes_together.h"
#include "overlay/music/names/chord_name.h"

#include <algorithm>
#include <mutex>
#include <set>
#include <tuple>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

using overlay::SongForHand;

/// Shapes that were searched for once. A search depends on nothing but its key, and is what costs most where a lesson
/// is looked at after each change. Thread-safe.
class SearchedShapes {
public:
    using Shapes = std::vector<overlay::FoundShape>;

    template <class Search>
    Shapes of(overlay::ChordName const& chord, Lesson const& lesson, Search const& search)
    {
        Key const key{chord.text(), *lesson.tuning, *lesson.capo};
        {
            std::scoped_lock const lock{m_mutex};
            if (auto const known = m_known.find(key); known != m_known.end())
                return known->second;
        }
        Shapes shapes = search();
        std::scoped_lock const lock{m_mutex};
        if (m_known.size() >= kMostKnown)
            m_known.clear();
        return m_known.insert_or_assign(key, std::move(shapes)).first->second;
    }

private:
    using Key = std::tuple<std::string, overlay::Tuning, int>;
    static constexpr std::size_t kMostKnown = 500;
    std::mutex m_mutex;
    std::map<Key, Shapes> m_known;
};

SearchedShapes::Shapes first_choices(overlay::ChordName const& chord, Lesson const& lesson)
{
    static SearchedShapes searched;
    return searched.of(chord, lesson, [&] { return overlay::first_choices(chord, *lesson.tuning, *lesson.capo); });
}

SearchedShapes::Shapes usual_shape(overlay::ChordName const& chord, Lesson const& lesson)
{
    static SearchedShapes searched;
    return searched.of(chord, lesson, [&] { return overlay::find_shapes(chord, *lesson.tuning, 1, *lesson.capo); });
}

/// A lesson as a song for the hand.
class Song {
public:
    explicit Song(Lesson const& lesson) : m_lesson(lesson)
    {
        bool const levels =
            std::ranges::any_of(lesson.shapes, [](auto const& entry) { return entry.shapes.size() > 1; });
        for (Section const& section : lesson.sections) {
            if (!section.bars)
                continue;
            add_part(section.bars->value, Level::full);
            if (levels)
                add_part(section.bars->value, Level::easy);
        }
        song.parts.assign(m_parts.begin(), m_parts.end());
    }

    SongForHand song;
    std::vector<std::string> names; ///< of its chords, as first written

private:
    void add_part(Chart const& chart, Level level)
    {
        std::vector<std::size_t> part;
        for (int bar = 1; bar <= chart.bars(); ++bar)
            for (ChartChord const& chord : chart.bar(bar).chords) {
                auto const index = index_of(chord.name, level);
                if (part.empty() || part.back() != index)
                    part.push_back(index);
            }
        m_parts.insert(std::move(part));
    }

    std::size_t index_of(std::string const& name, Level level)
    {
        auto const [known, is_new] = m_index.try_emplace({name, level}, SongForHand::kRest);
        if (is_new)
            known->second = add_chord(name, level);
        return known->second;
    }

    std::size_t add_chord(std::string const& name, Level level)
    {
        if (auto const* const given = m_lesson.shape_for(name, level))
            return add(name, {{*given, 0, ""}});
        auto const chord = m_lesson.chord(name);
        if (!chord || chord->no_chord)
            return SongForHand::kRest;
        auto const [known, is_new] = m_chords.try_emplace(chord->text(), SongForHand::kRest);
        if (is_new)
            if (auto shapes = first_choices(*chord, m_lesson); !shapes.empty())
                known->second = add(name, std::move(shapes));
        return known->second;
    }

    std::size_t add(std::string const& name, std::vector<overlay::FoundShape> shapes)
    {
        song.chords.push_back(std::move(shapes));
        names.push_back(name);
        return names.size() - 1;
    }

    Lesson const& m_lesson;
    std::set<std::vector<std::size_t>> m_parts; ///< each once
    std::map<std::pair<std::string, Level>, std::size_t> m_index;
    std::map<std::string, std::size_t> m_chords; ///< those that nobody gave a shape, in their plain spelling
};

std::string reason_of(Song const& song, std::size_t chord, overlay::ChosenShape const& chosen)
{
    if (!chosen.beside)
        return "the hand moves least";
    auto const stays = chosen.moves == "no finger stays" ? "the hand moves less" : chosen.moves;
    return fmt::format("{} between {} and {}", stays, song.names[chord], song.names[*chosen.beside]);
}

} // namespace

LessonShapes::LessonShapes(Lesson const& lesson) : m_lesson(lesson)
{
    Song const song(lesson);
    auto const chosen = overlay::shapes_together(song.song);
    for (std::size_t i = 0; i < chosen.size(); ++i) {
        auto const& name = song.names[i];
        auto const& options = song.song.chords[i];
        if (lesson.find_shape(name))
            continue;
        auto const& shape = options[chosen[i].option].shape;
        m_chosen.try_emplace(lesson.chord(name)->text(), shape);
        if (chosen[i].option > 0)
            m_in_context.push_back({name, shape, options.front().shape, reason_of(song, i, chosen[i])});
    }
}

std::optional<overlay::Shape> const& LessonShapes::at(std::string const& name, Level level)
{
    auto const [known, is_new] = m_known.try_emplace({name, level});
    auto& shape = known->second;
    if (!is_new)
        return shape;
    if (auto const* const given = m_lesson.shape_for(name, level)) {
        shape = *given;
    } else if (auto const chord = m_lesson.chord(name)) {
        auto const chosen = m_chosen.find(chord->text());
        if (chosen != m_chosen.end())
            shape = chosen->second;
        else if (auto const found = usual_shape(*chord, m_lesson); !found.empty())
            shape = found.front().shape;
    }
    return shape;
}

std::vector<NamedShape> LessonShapes::all(std::string const& name, std::optional<Level> level)
{
    ShapeEntry const* const entry = m_lesson.find_shape(name);
    if (entry && (!level || entry->shapes.size() == 1))
        return entry->shapes;
    auto const& shape = at(name, level.value_or(Level::full));
    if (!shape)
        return {};
    return {{std::nullopt, *shape, entry != nullptr, entry ? entry->at : SourcePosition{}}};
}

} // namespace tabard::pipeline
