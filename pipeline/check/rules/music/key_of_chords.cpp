#include "pipeline/check/rules/music/key_of_chords.h"

#include "overlay/music/capo/capo.h"

#include <algorithm>
#include <array>
#include <set>

namespace tabard::pipeline {

std::vector<PlayedName> played_names(CheckInput const& input)
{
    std::set<std::string> seen{""};
    std::vector<PlayedName> names;
    for (ChordSpan const& span : input.timeline.chords()) {
        if (!span.played || !seen.insert(span.name).second)
            continue;
        if (auto const chord = input.lesson.chord(span.name); chord && !chord->no_chord)
            names.push_back({span.name, *chord, span.in, span.at});
    }
    return names;
}

bool belongs(overlay::ChordName const& chord, overlay::Key key)
{
    std::array<bool, 12> scale{};
    for (int const step : key.minor ? std::array{0, 2, 3, 5, 7, 8, 10} : std::array{0, 2, 4, 5, 7, 9, 11})
        scale[static_cast<std::size_t>((key.tonic.pitch_class() + step) % 12)] = true;
    if (key.minor)
        scale[static_cast<std::size_t>((key.tonic.pitch_class() + 11) % 12)] = true;
    return std::ranges::all_of(chord.intervals(), [&](overlay::Interval interval) {
        bool const triad = interval.degree == 1 || interval.degree == 3 || interval.degree == 5;
        return !triad || scale[static_cast<std::size_t>((chord.root.pitch_class() + interval.pitch_class()) % 12)];
    });
}

int count_belonging(std::vector<PlayedName> const& names, overlay::Key key)
{
    return static_cast<int>(
        std::ranges::count_if(names, [&](PlayedName const& name) { return belongs(name.chord, key); }));
}

std::optional<overlay::Key> key_of_shapes(Lesson const& lesson)
{
    auto const sounding = lesson.sounding_key();
    return sounding ? std::optional{overlay::shapes_key(*sounding, *lesson.capo)} : std::nullopt;
}

bool key_is_wrong(std::vector<PlayedName> const& names, overlay::Key key)
{
    return names.size() >= 3 && 2 * count_belonging(names, key) < static_cast<int>(names.size());
}

} // namespace tabard::pipeline
