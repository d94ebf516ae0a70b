#include "overlay/base/characters.h"
#include "overlay/base/small_letters.h"
#include "overlay/music/names/chord_name.h"
#include "overlay/music/names/chord_reading.h"
#include "overlay/music/names/plain_signs.h"
#include "overlay/music/names/quality_reader.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

constexpr std::size_t kLongestName = 64;

std::string_view without_spaces_around(std::string_view text)
{
    auto const first = text.find_first_not_of(' ');
    return first == std::string_view::npos ? std::string_view{}
                                           : text.substr(first, text.find_last_not_of(' ') + 1 - first);
}

/// "N.C.", "NC", "n. c.", "no chord".
bool says_no_chord(std::string_view text)
{
    if (small_letters(std::string(text)) == "no chord")
        return true;
    auto letters = std::string(text);
    std::erase_if(letters, [](char c) { return c == '.' || c == ' ' || c == '/'; });
    return small_letters(letters) == "nc";
}

/// "Do", "do": a D with a small o for diminished, or a C in Latin names. "Domit3" is neither.
bool is_do(std::string_view text, NoteNames names)
{
    auto const letters = small_letters(std::string(text));
    return names != NoteNames::latin && letters.starts_with("do") && !letters.starts_with("domit");
}

/// The root of a chord. In "Abb5" the second flat belongs to the fifth: nobody writes a double flat before a number.
std::optional<WrittenNote> take_root(std::string_view& text, NoteNames names)
{
    auto const whole = text;
    auto root = take_note(text, names);
    if (!root || (names == NoteNames::english && root->small))
        return std::nullopt;
    bool const twice = root->note.alter == 2 || root->note.alter == -2;
    bool const plain = text.data() - whole.data() == 3 && (whole[1] == 'b' || whole[1] == '#');
    if (twice && plain &&
        (text.starts_with("5") || text.starts_with("9") || text.starts_with("11") || text.starts_with("13"))) {
        root->note.alter /= 2;
        text = whole.substr(2);
    }
    return root;
}

std::string_view taken(std::string_view before, std::string_view rest)
{
    return before.substr(0, before.size() - rest.size());
}

Error not_understood(std::string_view text, std::string_view plain, ChordReading const& reading, NoteNames names)
{
    auto const advice = advice_for(plain, reading, names);
    if (reading.not_read.empty())
        return {ErrorKind::invalid_input, fmt::format("chord name \"{}\" ends too early{}", text, advice)};
    auto const read =
        count_characters(plain.substr(0, static_cast<std::size_t>(reading.not_read.data() - plain.data())));
    std::size_t at = 0; // plain signs are as many as those written
    for (std::size_t left = read; at < text.size() && (left > 0 || continues_character(text[at])); ++at)
        left -= continues_character(text[at]) ? 0 : 1;
    return {ErrorKind::invalid_input, fmt::format("chord name \"{}\": \"{}\" at position {} is not understood{}", text,
                                                  text.substr(at), read + 1, advice)};
}

} // namespace

ChordReading read_chord(std::string_view plain, NoteNames names)
{
    ChordReading reading;
    ChordName chord;
    auto rest = without_spaces_around(plain);
    if (says_no_chord(rest)) {
        chord.no_chord = true;
        reading.chord = chord;
        return reading;
    }
    auto const whole = rest;
    auto const root = take_root(rest, names);
    if (!root || is_do(whole, names)) {
        reading.not_read = root ? whole.substr(1) : whole;
        return reading;
    }
    reading.root = taken(whole, rest);
    chord.root = root->note;
    QualityReader reader(rest, names, names == NoteNames::german && root->small);
    bool const quality = reader.read(chord);
    rest = reader.rest();
    reading.not_read = rest;
    if (!quality)
        return reading;
    if (!rest.empty()) {
        auto bass = without_spaces_around(rest.substr(1));
        auto const written = bass;
        auto const note = take_note(bass, names);
        if (!note)
            return reading;
        chord.bass = note->note;
        reading.bass = taken(written, bass);
        reading.not_read = bass;
        if (!bass.empty())
            return reading;
    }
    reading.chord = chord;
    return reading;
}

Result<ChordName> ChordName::parse(std::string_view text, NoteNames names)
{
    if (text.size() > kLongestName)
        return Error{ErrorKind::invalid_input,
                     fmt::format("a chord name has at most {} characters; this one has {}", kLongestName, text.size())};
    auto const plain = with_plain_signs(text);
    auto const reading = read_chord(plain, names);
    if (!reading.chord)
        return not_understood(text, plain, reading, names);
    return *reading.chord;
}

} // namespace tabard::overlay
