#include "overlay/music/capo.h"

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

Key sounding_key(Key shapes, int capo) { return shapes.transposed(capo); }
Key shapes_key(Key sounding, int capo) { return sounding.transposed(-capo); }

ChordName sounding_chord(ChordName const& played, Key shapes, int capo)
{
    return played.transposed(shapes.tonic, sounding_key(shapes, capo).tonic);
}

ChordName shape_chord(ChordName const& wanted, Key sounding, int capo)
{
    return wanted.transposed(sounding.tonic, shapes_key(sounding, capo).tonic);
}

} // namespace tabard::overlay
