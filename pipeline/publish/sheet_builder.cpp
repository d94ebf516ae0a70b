#include "pipeline/publish/sheet_builder.h"

#include "overlay/music/capo.h"
#include "overlay/music/chord_name.h"
#include "overlay/music/instrument.h"
#include "overlay/music/movement.h"
#include "pipeline/publish/lesson_words.h"

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

/// One sentence for each pair of neighbours that share a finger.
std::vector<std::string> anchors_of(Lesson const& lesson, std::optional<Level> level)
{
    std::vector<std::string> sentences;
    std::set<std::pair<std::string, std::string>> seen;
    std::string before;
    auto const look_at = [&](std::string const& name) {
        if (name == before || name.empty() || before.empty() || sentences.size() >= kMostAnchors)
            return;
        if (!seen.insert(std::minmax(name, before)).second)
            return;
        auto const from = shapes_for(lesson, before, level);
        auto const to = shapes_for(lesson, name, level);
        if (from.empty() || to.empty())
            return;
        auto const anchor = overlay::anchor_of({from.back().shape, to.back().shape});
        if (auto const words = overlay::anchor_text(anchor, lesson.tuning->strings()); !words.empty())
            sentences.push_back(fmt::format("Between {} and {}: {}.", pretty_name(before), pretty_name(name), words));
    };
    for (auto const& section : lesson.sections) {
        before.clear();
        if (!section.bars)
            continue;
        for (auto const& bar : section.bars->value.written)
            for (auto const& chord : bar.chords) {
                look_at(chord.name);
                before = chord.name;
            }
    }
    return sentences;
}

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
        for (auto const& named : shapes_for(lesson, name, level))
            chord.shapes.push_back({named.shape, named.level ? level_word(*named.level) : ""});
        model.chords.push_back(std::move(chord));
    }
    model.anchors = anchors_of(lesson, level);
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
