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

std::vector<SheetBar> bars_of(Chart const& chart)
{
    std::vector<SheetBar> bars;
    for (auto const& written : chart.written) {
        SheetBar bar{{}, written.simile, written.opens_repeat, written.closes_repeat};
        for (auto const& chord : written.chords)
            bar.chords.push_back({label_of(chord.name.empty() ? "N.C." : chord.name), chord.beats, chord.held});
        bars.push_back(std::move(bar));
    }
    return bars;
}

SheetPart part_of(Lesson const& lesson, Section const& section)
{
    SheetPart part;
    part.name = *section.name;
    part.meter = *section.meter;
    if (section.tempo && !(lesson.tempo && **section.tempo == **lesson.tempo))
        part.tempo = tempo_words(**section.tempo);
    if (section.strum)
        part.strum = **section.strum;
    if (section.text)
        part.remark = **section.text;
    part.bars = bars_of(**section.bars);
    for (auto const& line : section.words)
        part.words.push_back(*line);
    return part;
}

/// The same music under the same meter, whatever it is called.
bool same_music(SheetPart const& a, SheetPart const& b)
{
    return a.bars == b.bars && a.meter == b.meter && a.words == b.words && a.strum == b.strum && a.tempo == b.tempo;
}

/// Each part once; a part with the bars of an earlier one as a reference to that.
void add_part(std::vector<SheetPart>& parts, SheetPart part)
{
    auto const twin = std::ranges::find_if(
        parts, [&](SheetPart const& earlier) { return earlier.same_as.empty() && same_music(earlier, part); });
    if (twin != parts.end()) {
        auto const said = std::ranges::any_of(parts, [&](SheetPart const& earlier) {
            return earlier.name == part.name && (earlier.same_as == twin->name || &earlier == &*twin);
        });
        if (said)
            return;
        part.same_as = twin->name;
        part.bars.clear();
        part.words.clear();
    }
    parts.push_back(std::move(part));
}

/// A part that comes back is named again here, so that the order can be followed through the printed parts.
std::string order_of(std::vector<std::string> const& names, std::size_t printed)
{
    return names.size() > printed && printed > 1 ? fmt::format("In order: {}.", fmt::join(names, ", ")) : "";
}

/// Which fingers stay where: a sentence for each part that has an anchor throughout, and for each pair of neighbours
/// that share a finger.
class Anchors {
public:
    Anchors(Lesson const& lesson, std::optional<Level> level) : m_lesson(lesson), m_level(level) {}

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
    std::string words_for(std::vector<std::string> const& names) const
    {
        std::vector<overlay::Shape> shapes;
        for (std::string const& name : names) {
            auto const found = shapes_of(m_lesson, name, m_level);
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
            m_pairs.push_back(fmt::format("Between {} and {}: {}.", pretty_name(before), pretty_name(name), words));
    }

    static std::vector<std::string> without_rests(std::vector<std::string> names)
    {
        std::erase(names, "");
        return names;
    }

    Lesson const& m_lesson;
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
        auto const chord = overlay::ChordName::parse(name);
        if (!chord || chord->no_chord)
            continue;
        auto const key = shapes_key_of(lesson).value_or(overlay::Key{chord->root, false});
        pairs.push_back({chord->label(), overlay::sounding_chord(*chord, key, *lesson.capo).label()});
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

SheetModel build_sheet(Lesson const& lesson, std::optional<Level> level)
{
    SheetModel model;
    model.title = *lesson.title;
    model.strings = lesson.tuning->strings();
    model.capo = *lesson.capo;
    if (auto const key = sounding_key_of(lesson))
        model.sounding_key = key->pretty();
    if (auto const key = shapes_key_of(lesson))
        model.shapes_key = key->pretty();
    model.tuning = unusual_tuning(lesson);
    model.meter = fmt::format("{}/{}", lesson.meter->beats, lesson.meter->unit);
    if (lesson.tempo)
        model.tempo = tempo_words(**lesson.tempo);
    for (auto const& name : chord_names(lesson)) {
        overlay::SheetChord chord{label_of(name), {}};
        for (auto const& named : shapes_of(lesson, name, level))
            chord.shapes.push_back({named.shape, named.level ? level_word(*named.level) : ""});
        model.chords.push_back(std::move(chord));
    }
    model.anchors = Anchors(lesson, level).sentences();
    model.soundings = soundings_of(lesson);
    model.strums = strums_of(lesson);
    std::vector<std::string> order;
    for (auto const& section : lesson.sections) {
        if (!section.bars || (section.piece && section.piece->number > 1))
            continue;
        order.push_back(*section.name);
        add_part(model.parts, part_of(lesson, section));
    }
    model.order = order_of(order, model.parts.size());
    model.link = *lesson.link;
    return model;
}

} // namespace tabard::pipeline
