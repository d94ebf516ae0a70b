#include "overlay/music/shapes/chord_naming.h"

#include "overlay/base/precondition.h"
#include "overlay/music/shapes/sounding.h"

#include <algorithm>
#include <array>

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

/// Qualities as they are read on C, the everyday ones first (common practice, no published source).
std::vector<ChordName> const& qualities()
{
    static std::vector<ChordName> const all = [] {
        std::vector<ChordName> chords;
        for (auto const* name :
             {"C",      "Cm",    "C7",       "Cm7",    "Cmaj7",   "C5",     "Csus4",   "Csus2",     "C6",      "Cm6",
              "Cadd9",  "C9",    "Cdim",     "Cdim7",  "Cm7b5",   "C7sus4", "Cmadd9",  "Cm9",       "Cmaj9",   "Caug",
              "C6/9",   "C7#9",  "C7b9",     "CmMaj7", "C7#5",    "C7b5",   "C13",     "C11",       "Cm11",    "Cadd11",
              "C9sus4", "C7#11", "Cmaj7#11", "Cm6/9",  "Cmaj13",  "Cm13",   "C13sus4", "Cmaj7b5",   "Cmaj7#5", "CmMaj9",
              "C9#11",  "C9#5",  "C9b5",     "C7b13",  "Cmadd11", "C7b9#5", "C7#9#5",  "Csus2sus4", "C(b5)"}) {
            auto chord = ChordName::parse(name);
            PRECONDITION(chord.has_value());
            chords.push_back(*chord);
        }
        return chords;
    }();
    return all;
}

/// The root that players write where no key is told: flats but for F sharp, and C sharp and G sharp in minor.
NoteName usual_root(int pitch_class, bool minor)
{
    bool const sharp = pitch_class == 6 || (minor && (pitch_class == 1 || pitch_class == 8));
    return note_of(pitch_class, sharp ? Accidentals::sharps : Accidentals::flats);
}

ChordName on_root(ChordName chord, int root, int lowest, std::optional<Key> const& key)
{
    bool const minor = chord.third == ChordName::Third::minor;
    chord.root = key ? key->spell(root) : usual_root(root, minor);
    if (lowest != root)
        chord.bass = chord.spell(lowest).value_or((key ? *key : Key{chord.root, minor}).spell(lowest));
    return chord;
}

struct Candidate {
    ShapeName name;
    double cost = 0;
};

std::string reason_of(ShapeVerdict const& verdict, ChordName const& chord, bool bass_is_chord_tone,
                      Tuning const& tuning)
{
    auto const notes = verdict.exact() ? "all its notes" : text_of(verdict, chord, tuning);
    auto const bass = !chord.bass          ? "root in the bass"
                      : bass_is_chord_tone ? "an inversion"
                                           : "over a bass that is not in the chord";
    return fmt::format("{}, {}", notes, bass);
}

} // namespace

std::vector<ShapeName> names_of(Shape const& shape, Tuning const& tuning, std::optional<Key> const& key,
                                std::size_t most)
{
    unsigned sounding = 0;
    int lowest = 1000;
    for (auto const pitch : sounding_pitches(shape, tuning, 0))
        if (pitch) {
            sounding |= 1u << mod(*pitch, 12);
            lowest = std::min(lowest, *pitch);
        }
    std::vector<Candidate> candidates;
    for (int root = 0; root < 12; ++root) {
        if ((sounding >> root & 1u) == 0)
            continue;
        double rarity = 0;
        for (auto const& quality : qualities()) {
            rarity += 0.4;
            auto const chord = on_root(quality, root, mod(lowest, 12), key);
            auto verdict = judge(shape, chord, tuning);
            if (!verdict.fits() || chord.intervals().size() - verdict.missing.size() < 2)
                continue;
            auto plain = chord;
            plain.bass.reset();
            bool const chord_tone = plain.spell(lowest).has_value();
            double const cost = rarity + 3.0 * static_cast<double>(verdict.missing.size()) +
                                (!chord.bass  ? 0
                                 : chord_tone ? 3
                                              : 6);
            auto reason = reason_of(verdict, chord, chord_tone, tuning);
            candidates.push_back({{chord, std::move(verdict), std::move(reason)}, cost});
        }
    }
    std::ranges::stable_sort(candidates, {}, &Candidate::cost);
    std::vector<ShapeName> names;
    constexpr double kFarFetched = 9; // above the best: nobody would say that
    for (auto& candidate : candidates)
        if (names.size() < most && candidate.cost <= candidates.front().cost + kFarFetched)
            names.push_back(std::move(candidate.name));
    return names;
}

} // namespace tabard::overlay
