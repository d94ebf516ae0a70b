#include "overlay/music/shapes/sounding.h"

#include "overlay/base/precondition.h"

namespace tabard::overlay {

std::vector<std::optional<int>> sounding_pitches(Shape const& shape, Tuning const& tuning, int capo)
{
    PRECONDITION(shape.frets.size() == tuning.open_strings.size());
    std::vector<std::optional<int>> pitches;
    for (std::size_t i = 0; i < shape.frets.size(); ++i)
        pitches.push_back(shape.frets[i] == kMuted ? std::nullopt : tuning.pitch(i, shape.frets[i], capo));
    return pitches;
}

int bass_string(Shape const& shape, Tuning const& tuning)
{
    auto const pitches = sounding_pitches(shape, tuning, 0);
    std::size_t lowest = pitches.size();
    for (std::size_t i = 0; i < pitches.size(); ++i)
        if (pitches[i] && (lowest == pitches.size() || *pitches[i] < *pitches[lowest]))
            lowest = i;
    return static_cast<int>(pitches.size() - lowest);
}

} // namespace tabard::overlay
