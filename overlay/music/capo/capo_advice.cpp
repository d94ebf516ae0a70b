#include "overlay/music/capo/capo_advice.h"

#include "overlay/music/capo/capo.h"
#include "overlay/music/shapes/shape_search.h"

#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::overlay {
namespace {

constexpr double kBarreCost = 10;
constexpr double kCapoCost = 0.2; // a capo high on the neck leaves fewer frets

bool is_open_shape(Shape const& shape)
{
    constexpr int kOpenPosition = 4;
    return shape.barres().empty() && std::ranges::max(shape.frets) <= kOpenPosition;
}

void add(CapoChoice& choice, ChordName const& chord, Tuning const& tuning)
{
    choice.chords.push_back(chord);
    auto const found = find_shapes(chord, tuning, 1);
    bool const open = !found.empty() && is_open_shape(found.front().shape);
    choice.cost += (found.empty() ? 0 : found.front().cost) + (open ? 0 : kBarreCost);
    if (!open)
        choice.barred.push_back(chord);
}

} // namespace

std::string CapoChoice::text() const
{
    auto const place = capo == 0 ? std::string("no capo") : fmt::format("capo {}", capo);
    if (barred.empty())
        return fmt::format("{}: all {} chords are open shapes in {}", place, chords.size(), shapes.text());
    std::vector<std::string> names;
    for (auto const& chord : barred)
        names.push_back(chord.text());
    auto const open = chords.size() - barred.size();
    return fmt::format("{}: {} of {} chords {} in {}; {} {} not", place, open, chords.size(),
                       open == 1 ? "is an open shape" : "are open shapes", shapes.text(), fmt::join(names, ", "),
                       names.size() == 1 ? "is" : "are");
}

std::vector<CapoChoice> advise_capo(std::vector<ChordName> const& sounding, Key key, Tuning const& tuning,
                                    int highest_capo)
{
    std::vector<CapoChoice> choices;
    for (int capo = 0; capo <= highest_capo; ++capo) {
        CapoChoice choice{capo, shapes_key(key, capo), {}, {}, kCapoCost * capo};
        for (auto const& wanted : sounding) {
            auto const chord = shape_chord(wanted, key, capo);
            if (!chord.no_chord && std::ranges::find(choice.chords, chord) == choice.chords.end())
                add(choice, chord, tuning);
        }
        choices.push_back(std::move(choice));
    }
    std::ranges::stable_sort(choices, {}, &CapoChoice::cost);
    return choices;
}

} // namespace tabard::overlay
