#include "pipeline/listen/triad_name.h"

#include "overlay/music/note.h"

namespace tabard::pipeline {

std::string triad_name(HeardChord const& triad, int capo)
{
    int const root = overlay::mod(triad.tones.front() - capo, 12);
    bool const minor = overlay::mod(triad.tones[1] - triad.tones[0], 12) == 3;
    return overlay::note_of(root, overlay::Accidentals::sharps).text() + (minor ? "m" : "");
}

} // namespace tabard::pipeline
