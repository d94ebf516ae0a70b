#include "overlay/music/tuning.h"

#include "overlay/base/small_letters.h"
#include "overlay/music/note.h"
#include "overlay/music/words.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <utility>

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

constexpr std::size_t kMostStrings = 12;

std::optional<int> midi_of(std::string_view word)
{
    auto const note = take_note(word);
    int octave = 0;
    auto const [end, failed] = std::from_chars(word.data(), word.data() + word.size(), octave);
    if (!note || failed != std::errc{} || end != word.data() + word.size() || octave < -1 || octave > 9)
        return std::nullopt;
    // Counted from the letter, so that Cb4 is B3 and B#3 is C4.
    return 12 * (octave + 1) + Interval{note->letter + 1, note->alter}.semitones();
}

/// Tunings that guitarists call by name. The names are common practice, no published source.
constexpr std::array<std::pair<std::string_view, std::string_view>, 11> kNamed{
    {{"standard", "E2 A2 D3 G3 B3 E4"},
     {"drop D", "D2 A2 D3 G3 B3 E4"},
     {"double drop D", "D2 A2 D3 G3 B3 D4"},
     {"DADGAD", "D2 A2 D3 G3 A3 D4"},
     {"open D", "D2 A2 D3 F#3 A3 D4"},
     {"open E", "E2 B2 E3 G#3 B3 E4"},
     {"open G", "D2 G2 D3 G3 B3 D4"},
     {"open A", "E2 A2 E3 A3 C#4 E4"},
     {"open C", "C2 G2 C3 G3 C4 E4"},
     {"Eb standard", "Eb2 Ab2 Db3 Gb3 Bb3 Eb4"},
     {"D standard", "D2 G2 C3 F3 A3 D4"}}};

bool same_word(std::string_view a, std::string_view b)
{
    return std::ranges::equal(a, b, {}, small_letter, small_letter);
}

} // namespace

Result<Tuning> Tuning::parse(std::string_view notes)
{
    for (auto const& [name, strings] : kNamed)
        if (same_word(notes, name))
            return parse(strings);
    Tuning tuning{{}};
    for (auto const& word : words_of(notes)) {
        auto const midi = midi_of(word.text);
        if (!midi)
            return Error{
                ErrorKind::invalid_input,
                fmt::format("\"{}\" at position {} of the tuning is not a note with its octave, like E2 or Bb3",
                            word.text, word.position)};
        tuning.open_strings.push_back(*midi);
    }
    if (tuning.open_strings.size() < 3 || tuning.open_strings.size() > kMostStrings)
        return Error{
            ErrorKind::invalid_input,
            fmt::format("a tuning names 3 to {} strings, low string first, like \"E2 A2 D3 G3 B3 E4\"; this one "
                        "names {}",
                        kMostStrings, tuning.open_strings.size())};
    return tuning;
}

std::optional<int> Tuning::pitch(std::size_t string, int fret, int capo) const
{
    int const begin = begins_at.empty() ? 0 : begins_at[string];
    if (fret == 0)
        return open_strings[string] + capo;
    if (fret <= begin)
        return std::nullopt;
    return open_strings[string] + capo + fret - begin;
}

} // namespace tabard::overlay
