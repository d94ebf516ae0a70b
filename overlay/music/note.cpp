#include "overlay/music/note.h"

#include <cstdlib>
#include <utility>

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

constexpr std::string_view kLetters = "CDEFGAB";

std::string plain_accidental(int alter)
{
    return std::string(static_cast<std::size_t>(std::abs(alter)), alter < 0 ? 'b' : '#');
}

/// Half-steps that the sign at the front of `text` stands for, and takes it off; 0 where there is none.
int take_sign(std::string_view& text)
{
    constexpr std::array<std::pair<std::string_view, int>, 9> kSigns{
        {{"##", 2}, {"bb", -2}, {"#", 1}, {"b", -1}, {"♯", 1}, {"♭", -1}, {"𝄪", 2}, {"𝄫", -2}, {"♮", 0}}};
    for (auto const& [sign, alter] : kSigns)
        if (text.starts_with(sign)) {
            text.remove_prefix(sign.size());
            return alter;
        }
    return 0;
}

} // namespace

std::string Interval::text() const { return plain_accidental(alter) + std::to_string(degree); }

NoteName NoteName::up(Interval interval) const
{
    int const steps = letter + (interval.degree - 1) % 7;
    NoteName note{steps % 7, 0};
    int const wanted = pitch_class() + interval.semitones();
    // The distance that the accidental has to bridge is small: take it around zero, not 0..11.
    note.alter = mod(wanted - note.pitch_class() + 6, 12) - 6;
    return note;
}

NoteName NoteName::down(Interval interval) const
{
    NoteName note{mod(letter - (interval.degree - 1), 7), 0};
    int const wanted = pitch_class() - interval.semitones();
    note.alter = mod(wanted - note.pitch_class() + 6, 12) - 6;
    return note;
}

Interval NoteName::interval_to(NoteName higher) const
{
    Interval interval{mod(higher.letter - letter, 7) + 1, 0};
    interval.alter = mod(higher.pitch_class() - pitch_class() - interval.semitones() + 6, 12) - 6;
    return interval;
}

NoteName NoteName::simplified() const
{
    if (std::abs(alter) < 2)
        return *this;
    return note_of(pitch_class(), alter < 0 ? Accidentals::flats : Accidentals::sharps);
}

std::string NoteName::text() const { return kLetters[static_cast<std::size_t>(letter)] + plain_accidental(alter); }

std::string NoteName::pretty() const { return kLetters[static_cast<std::size_t>(letter)] + pretty_accidental(alter); }

NoteName note_of(int pitch_class, Accidentals accidentals)
{
    constexpr std::array<NoteName, 12> kSharps{
        {{0, 0}, {0, 1}, {1, 0}, {1, 1}, {2, 0}, {3, 0}, {3, 1}, {4, 0}, {4, 1}, {5, 0}, {5, 1}, {6, 0}}};
    constexpr std::array<NoteName, 12> kFlats{
        {{0, 0}, {1, -1}, {1, 0}, {2, -1}, {2, 0}, {3, 0}, {4, -1}, {4, 0}, {5, -1}, {5, 0}, {6, -1}, {6, 0}}};
    auto const index = static_cast<std::size_t>(mod(pitch_class, 12));
    return accidentals == Accidentals::sharps ? kSharps[index] : kFlats[index];
}

int take_accidental(std::string_view& text)
{
    int const alter = take_sign(text);
    if (std::abs(alter) == 1) // two single signs, as in "F♯♯"
        if (auto rest = text; take_sign(rest) == alter) {
            text = rest;
            return alter * 2;
        }
    return alter;
}

std::optional<NoteName> take_note(std::string_view& text)
{
    if (text.empty())
        return std::nullopt;
    auto const letter = kLetters.find(text.front());
    if (letter == std::string_view::npos)
        return std::nullopt;
    text.remove_prefix(1);
    return NoteName{static_cast<int>(letter), take_accidental(text)};
}

std::string pretty_accidental(int alter)
{
    std::string signs;
    for (; alter <= -2; alter += 2)
        signs += "𝄫";
    for (; alter >= 2; alter -= 2)
        signs += "𝄪";
    if (alter == -1)
        signs += "♭";
    if (alter == 1)
        signs += "♯";
    return signs;
}

std::string pitch_text(int midi, Accidentals accidentals)
{
    int const octave = (midi - mod(midi, 12)) / 12 - 1;
    return fmt::format("{}{}", note_of(midi, accidentals).text(), octave);
}

} // namespace tabard::overlay
