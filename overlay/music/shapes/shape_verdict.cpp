#include "overlay/music/shapes/shape_verdict.h"

#include "overlay/music/shapes/sounding.h"

#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::overlay {
namespace {

std::string degree_name(Interval interval)
{
    switch (interval.degree) {
    case 1:
        return "root";
    case 2:
        return "second";
    case 3:
        return "third";
    case 4:
        return "fourth";
    case 5:
        return "fifth";
    case 6:
        return "sixth";
    case 7:
        return "seventh";
    case 9:
        return "ninth";
    case 11:
        return "eleventh";
    default:
        return "thirteenth";
    }
}

} // namespace

ShapeVerdict judge(Shape const& shape, ChordName const& chord, Tuning const& tuning)
{
    ShapeVerdict verdict;
    unsigned sounding = 0;
    std::optional<int> lowest;
    auto const pitches = sounding_pitches(shape, tuning, 0);
    for (std::size_t i = 0; i < pitches.size(); ++i) {
        if (!pitches[i])
            continue;
        sounding |= 1u << mod(*pitches[i], 12);
        lowest = std::min(lowest.value_or(*pitches[i]), *pitches[i]);
        if (!chord.spell(*pitches[i]))
            verdict.foreign.push_back({i, shape.frets[i], note_of(*pitches[i], Accidentals::sharps)});
    }
    for (auto const interval : chord.intervals())
        if ((sounding >> chord.root.up(interval).pitch_class() & 1u) == 0) {
            verdict.missing.push_back(interval);
            verdict.lacks_only_optional = verdict.lacks_only_optional && chord.optional(interval);
        }
    if (lowest && !chord.no_chord) {
        verdict.lowest = chord.spell(*lowest).value_or(note_of(*lowest, Accidentals::sharps));
        if (mod(*lowest, 12) != chord.lowest().pitch_class())
            verdict.bass = chord.bass ? ShapeVerdict::Bass::wrong : ShapeVerdict::Bass::inverted;
    }
    return verdict;
}

std::string text_of(ShapeVerdict const& verdict, ChordName const& chord, Tuning const& tuning, NoteNames names)
{
    if (verdict.exact())
        return "exact";
    std::vector<std::string> parts;
    for (auto const interval : verdict.missing)
        parts.push_back(fmt::format("{} the {} ({})", chord.optional(interval) ? "leaves out" : "lacks",
                                    degree_name(interval), pretty_of(chord.root.up(interval), names)));
    for (auto const& note : verdict.foreign)
        parts.push_back(fmt::format("{} on string {}, {}, is not in {}", pretty_of(note.note, names),
                                    static_cast<std::size_t>(tuning.strings()) - note.string,
                                    note.fret == 0 ? "open" : fmt::format("fret {}", note.fret), chord.text(names)));
    if (verdict.bass != ShapeVerdict::Bass::right && verdict.lowest)
        parts.push_back(verdict.bass == ShapeVerdict::Bass::wrong
                            ? fmt::format("the bass is {}, not {}", pretty_of(*verdict.lowest, names),
                                          pretty_of(chord.lowest(), names))
                            : fmt::format("{} in the bass", pretty_of(*verdict.lowest, names)));
    return fmt::format("{}", fmt::join(parts, "; "));
}

} // namespace tabard::overlay
