#include "overlay/music/names/key.h"

#include "overlay/music/names/chord_name.h"

#include <algorithm>
#include <array>

#include <fmt/format.h>

namespace tabard::overlay {

namespace {

char const* example(NoteNames names)
{
    switch (names) {
    case NoteNames::english:
        return "write a capital letter A to G, # or b, and m for minor, as in \"E\", \"Bb\" or \"F#m\"";
    case NoteNames::german:
        return "write it as in \"E\", \"B\" (for B flat), \"Fis-Dur\", \"h-Moll\" or \"F#m\"";
    case NoteNames::latin:
        break;
    }
    return "write it as in \"Mi\", \"Sib\" or \"Fa#m\"";
}

/// A key is written as its chord of three notes.
std::optional<Key> key_of(std::string_view text, NoteNames names)
{
    auto const chord = ChordName::parse(text, names);
    if (!chord || chord->no_chord)
        return std::nullopt;
    ChordName triad;
    triad.root = chord->root;
    triad.third = chord->third;
    bool const minor = chord->third == ChordName::Third::minor;
    if (*chord != triad || !(minor || chord->third == ChordName::Third::major))
        return std::nullopt;
    return Key{chord->root, minor};
}

} // namespace

Result<Key> Key::parse(std::string_view text, NoteNames names)
{
    if (auto const key = key_of(text, names))
        return *key;
    std::string meant;
    for (auto const other : {NoteNames::english, NoteNames::german, NoteNames::latin})
        if (auto const key = other != names && meant.empty() ? key_of(text, other) : std::nullopt)
            meant = fmt::format("; as {} name it is \"{}\"", with_article(other), key->text(names));
    return Error{ErrorKind::invalid_input, fmt::format("\"{}\" is not a key{}: {}", text, meant, example(names))};
}

int Key::signature() const
{
    constexpr std::array<int, 7> kOfLetter{0, 2, 4, -1, 1, 3, 5}; // C D E F G A B major
    return kOfLetter[static_cast<std::size_t>(tonic.letter)] + 7 * tonic.alter - (minor ? 3 : 0);
}

Key Key::transposed(int semitones) const
{
    if (mod(semitones, 12) == 0)
        return *this;
    int const pitch_class = tonic.pitch_class() + semitones;
    Key const sharp{note_of(pitch_class, Accidentals::sharps), minor};
    Key const flat{note_of(pitch_class, Accidentals::flats), minor};
    if (sharp.signature() == 6 && flat.signature() == -6)
        return minor ? flat : sharp;
    return sharp.signature() <= -flat.signature() || sharp == flat ? sharp : flat;
}

NoteName Key::spell(int pitch_class) const
{
    // The scale of either mode, and the altered degrees as harmony uses them.
    constexpr std::array<Interval, 12> kSteps{
        {{1, 0}, {2, -1}, {2, 0}, {3, -1}, {3, 0}, {4, 0}, {4, 1}, {5, 0}, {6, -1}, {6, 0}, {7, -1}, {7, 0}}};
    auto const step = static_cast<std::size_t>(mod(pitch_class - tonic.pitch_class(), 12));
    return tonic.up(kSteps[step]).simplified();
}

std::string Key::text(NoteNames names) const { return text_of(tonic, names) + (minor ? "m" : ""); }
std::string Key::pretty(NoteNames names) const { return pretty_of(tonic, names) + (minor ? "m" : ""); }

} // namespace tabard::overlay
