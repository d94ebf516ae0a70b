#include "overlay/music/tuning.h"

#include "overlay/music/note.h"
#include "overlay/music/words.h"

#include <charconv>

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

} // namespace

Result<Tuning> Tuning::parse(std::string_view notes)
{
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

} // namespace tabard::overlay
