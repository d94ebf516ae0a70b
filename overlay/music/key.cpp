#include "overlay/music/key.h"

#include <algorithm>
#include <array>

#include <fmt/format.h>

namespace tabard::overlay {

namespace {

/// Takes the word and the spaces after it from the beginning of `text`.
bool take_word(std::string_view& text, std::string_view word)
{
    if (!text.starts_with(word))
        return false;
    text.remove_prefix(word.size());
    text.remove_prefix(std::min(text.find_first_not_of(' '), text.size()));
    return true;
}

} // namespace

Result<Key> Key::parse(std::string_view text)
{
    auto const whole = text;
    auto tonic = take_note(text);
    if (tonic) {
        while (text.starts_with(' '))
            text.remove_prefix(1);
        if (tonic->alter == 0 && take_word(text, "sharp"))
            tonic->alter = 1;
        else if (tonic->alter == 0 && take_word(text, "flat"))
            tonic->alter = -1;
        if (text.empty() || text == "major" || text == "maj")
            return Key{*tonic, false};
        if (text == "m" || text == "minor" || text == "min")
            return Key{*tonic, true};
    }
    return Error{
        ErrorKind::invalid_input,
        fmt::format("\"{}\" is not a key: write a capital letter A to G, # or b, and m for minor, as in \"E\", "
                    "\"Bb\" or \"F#m\"",
                    whole)};
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

std::string Key::text() const { return tonic.text() + (minor ? "m" : ""); }
std::string Key::pretty() const { return tonic.pretty() + (minor ? "m" : ""); }

} // namespace tabard::overlay
