#include "pipeline/publish/sheet_builder.h"

#include "overlay/music/capo/capo.h"
#include "overlay/music/hand/movement.h"
#include "overlay/music/instrument.h"
#include "overlay/music/names/chord_name.h"
#include "pipeline/publish/lesson_words.h"
#include "pipeline/timeline/lesson_shapes.h"

#include <algorithm>
#include <set>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::pipeline {
namespace {

using overlay::label_of;
using overlay::SheetBar;
using overlay::SheetModel;
using overlay::SheetPart;

constexpr std::size_t kMostAnchors = 6; ///< more sentences than that nobody reads

SheetPart part_of(Lesson const& lesson, Section const& section)
{
    SheetPart part;
    part.name = *section.name;
    part.meter = *section.meter;
    if (section.tempo && !(lesson.tempo && tempo_words(**section.tempo) == tempo_words(**lesson.tempo)))
        part.tempo = tempo_words(**section.tempo);
    if (section.strum)
        part.strum = **section.strum;
    if (section.text)
        part.remark = **section.text;
    part.bars = sheet_bars(**section.bars);
    for (auto const& line : section.words)
        part.words.push_back(*line);
    return part;
}

/// The bars as they are played, each with its chords: the same however repeats are written.
std::vector<std::vector<overlay::SheetBarChord>> played_bars(Chart const& chart)
{
    std::vector<std::vector<overlay::SheetBarChord>> bars;
    auto const written = sheet_bars(chart);
    for (int const index : chart.played)
        bars.push_back(written[static_cast<std::size_t>(index)].chords);
    return bars;
}

/// The parts as they are printed: what was written out before is referred to.
class PartList {
public:
    explicit PartList(std::string song_tempo) : m_song_tempo(std::move(song_tempo)) {}

    void add(Lesson const& lesson, Section const& section)
    {
        SheetPart part = part_of(lesson, section);
        m_order.push_back(part.name);
        Music music{played_bars(**section.bars), part.meter, part.words};
        auto const twin = std::ranges::find_if(m_written, [&](auto const& earlier) { return earlier.first == music; });
        if (twin == m_written.end())
            m_written.emplace_back(std::move(music), part);
        else
            refer(part, twin->second);
        bool const as_written =
            part.same_as == part.name && part.tempo.empty() && part.strum.empty() && part.remark.empty();
        bool const said = as_written || std::ranges::find(parts, part) != parts.end();
        if (!said || part.same_as.empty())
            parts.push_back(std::move(part));
    }

    /// A part that comes back is named again here, so that the order can be followed through the printed parts.
    std::string order() const
    {
        bool const needed = m_order.size() > parts.size() && parts.size() > 1;
        return needed ? fmt::format("In order: {}.", fmt::join(m_order, ", ")) : "";
    }

    std::vector<SheetPart> parts;

private:
    struct Music {
        std::vector<std::vector<overlay::SheetBarChord>> bars;
        overlay::Meter meter;
        std::vector<std::string> words;
        friend bool operator==(Music const&, Music const&) = default;
    };

    /// The part as one line, with what is not as in `written`.
    void refer(SheetPart& part, SheetPart const& written) const
    {
        auto const tempo = [&](SheetPart const& of) { return of.tempo.empty() ? m_song_tempo : of.tempo; };
        part.same_as = written.name;
        part.tempo = tempo(part) == tempo(written) ? "" : tempo(part);
        part.strum = part.strum == written.strum ? "" : part.strum;
        part.remark = part.remark == written.remark ? "" : part.remark;
        part.bars.clear();
        part.words.clear();
    }

    std::string m_song_tempo;
    std::vector<std::string> m_order;
    std::vector<std::pair<Music, SheetPart>> m_written;
};

/// Which fingers stay where: a sentence for each part that has an anchor throughout, and for each pair of neighbours
/// that share a finger.
class Anchors {
public:
    Anchors(Lesson const& lesson, LessonShapes& shapes, std::optional<Level> level)
        : m_lesson(lesson), m_shapes(shapes), m_level(level)
    {
    }

    std::vector<std::string> sentences()
    {
        for (Section const& section : m_lesson.sections)
            if (section.bars)
                look_at(section);
        m_parts.insert(m_parts.end(), m_pairs.begin(), m_pairs.end());
        if (m_parts.size() > kMostAnchors)
            m_parts.resize(kMostAnchors);
        return std::move(m_parts);
    }

private:
    /// "keep finger 1 ..." for these chords; empty where they share none or one has no shape.
    std::string words_for(std::vector<std::string> const& names)
    {
        std::vector<overlay::Shape> shapes;
        for (std::string const& name : names) {
            auto const found = m_shapes.all(name, m_level);
            if (found.empty())
                return "";
            shapes.push_back(found.back().shape);
        }
        return shapes.empty() ? "" : overlay::anchor_text(overlay::anchor_of(shapes), m_lesson.tuning->strings());
    }

    void look_at(Section const& section)
    {
        std::vector<std::string> names;
        for (auto const& bar : section.bars->value.written)
            for (auto const& chord : bar.chords)
                names.push_back(chord.name);
        auto const sounding = without_rests(names);
        std::string const all = words_for(sounding);
        bool const several = std::set<std::string>(sounding.begin(), sounding.end()).size() > 2;
        if (several && !all.empty() && m_seen_parts.insert(*section.name).second)
            m_parts.push_back(fmt::format("{}: {} from the first chord to the last.", *section.name, all));
        for (std::size_t i = 1; i < names.size(); ++i)
            look_at_pair(names[i - 1], names[i], several ? all : "");
    }

    void look_at_pair(std::string const& before, std::string const& name, std::string const& said)
    {
        if (name == before || name.empty() || before.empty() || !m_seen_pairs.insert(std::minmax(name, before)).second)
            return;
        if (auto const words = words_for({before, name}); !words.empty() && words != said)
            m_pairs.push_back(fmt::format("Between {} and {}: {}.", pretty_name(m_lesson, before),
                                          pretty_name(m_lesson, name), words));
    }

    static std::vector<std::string> without_rests(std::vector<std::string> names)
    {
        std::erase(names, "");
        return names;
    }

    Lesson const& m_lesson;
    LessonShapes& m_shapes;
    std::optional<Level> m_level;
    std::vector<std::string> m_parts;
    std::vector<std::string> m_pairs;
    std::set<std::string> m_seen_parts;
    std::set<std::pair<std::string, std::string>> m_seen_pairs;
};

std::vector<overlay::SheetSounding> soundings_of(Lesson const& lesson)
{
    std::vector<overlay::SheetSounding> pairs;
    if (*lesson.capo == 0)
        return pairs;
    for (auto const& name : chord_names(lesson)) {
        auto const chord = lesson.chord(name);
        if (!chord || chord->no_chord)
            continue;
        auto const key = shapes_key_of(lesson).value_or(overlay::Key{chord->root, false});
        pairs.push_back({lesson.label(name), overlay::sounding_chord(*chord, key, *lesson.capo).label(*lesson.names)});
    }
    return pairs;
}

/// Patterns in the order in which they are used.
std::vector<overlay::SheetStrum> strums_of(Lesson const& lesson)
{
    std::vector<overlay::SheetStrum> strums;
    auto const add = [&](std::string const& name, overlay::Meter meter) {
        auto const* const entry = lesson.find_strum(name);
        if (entry && std::ranges::none_of(strums, [&](auto const& strum) { return strum.name == name; }))
            strums.push_back({name, entry->pattern, meter});
    };
    for (auto const& section : lesson.sections) {
        for (auto const& cue : section.show)
            add(cue.strum, *section.meter);
        if (section.strum)
            add(**section.strum, *section.meter);
    }
    return strums;
}

std::string unusual_tuning(Lesson const& lesson)
{
    auto const instrument = overlay::Instrument::named(*lesson.instrument);
    return instrument && instrument->tuning == *lesson.tuning ? "" : tuning_words(*lesson.tuning);
}

} // namespace

std::vector<SheetBar> sheet_bars(Chart const& chart)
{
    std::vector<SheetBar> bars;
    for (auto const& written : chart.written) {
        SheetBar bar{{}, written.simile, written.opens_repeat, written.closes_repeat};
        for (auto const& chord : written.chords)
            bar.chords.push_back(
                {label_of(chord.name.empty() ? "N.C." : chord.name, chart.names), chord.beats, chord.held});
        bars.push_back(std::move(bar));
    }
    return bars;
}

SheetModel build_sheet(Lesson const& lesson, std::optional<Level> level)
{
    SheetModel model;
    model.title = *lesson.title;
    model.strings = lesson.tuning->strings();
    model.capo = *lesson.capo;
    if (auto const key = sounding_key_of(lesson))
        model.sounding_key = key->pretty(*lesson.names);
    if (auto const key = shapes_key_of(lesson))
        model.shapes_key = key->pretty(*lesson.names);
    model.tuning = unusual_tuning(lesson);
    model.meter = lesson.meter->text();
    if (lesson.tempo)
        model.tempo = tempo_words(**lesson.tempo);
    LessonShapes shapes(lesson);
    for (auto const& name : chord_names(lesson)) {
        overlay::SheetChord chord{lesson.label(name), {}};
        for (auto const& named : shapes.all(name, level))
            chord.shapes.push_back({named.shape, named.level ? level_word(*named.level) : ""});
        model.chords.push_back(std::move(chord));
    }
    model.anchors = Anchors(lesson, shapes, level).sentences();
    model.soundings = soundings_of(lesson);
    model.strums = strums_of(lesson);
    PartList list{model.tempo};
    for (auto const& section : lesson.sections)
        if (section.bars && !(section.piece && section.piece->number > 1))
            list.add(lesson, section);
    model.order = list.order();
    model.parts = std::move(list.parts);
    model.link = *lesson.link;
    return model;
}

} // namespace tabard::pipeline
