#include "overlay/base/precondition.h"
#include "overlay/music/names/chord_name.h"
#include "pipeline/cues/chord_annotations.h"

#include <cstdint>

// Any bytes are chords or places: chords that have names, one after the other, in the film.
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size)
{
    using namespace tabard::pipeline;
    Interval const film{from_ticks(1, 1, 1), from_ticks(600, 1, 1)};
    auto const read = parse_chord_annotations({reinterpret_cast<char const*>(data), size}, film);
    if (!read) {
        PRECONDITION(!read.error().errors.empty());
        return 0;
    }
    PRECONDITION(!read->chords.empty());
    Time before = film.from;
    for (AnnotatedChord const& chord : read->chords) {
        PRECONDITION(before <= chord.from && chord.from < chord.to && chord.to <= film.to);
        PRECONDITION(tabard::overlay::ChordName::parse(chord.chord));
        before = chord.to;
    }
    return 0;
}
