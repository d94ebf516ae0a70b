#include "overlay/music/capo/capo.h"

namespace tabard::overlay {

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
