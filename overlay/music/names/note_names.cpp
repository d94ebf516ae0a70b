#include "overlay/music/names/note_names.h"

#include "overlay/base/nearest_word.h"
#include "overlay/base/small_letters.h"

#include <algorithm>
#include <array>
#include <cstdlib>
#include <utility>

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

constexpr std::array<std::string_view, 3> kWords{"english", "german", "latin"};
constexpr std::string_view kEnglishLetters = "CDEFGAB";
constexpr std::string_view kGermanLetters = "CDEFGAH";
constexpr std::array<std::string_view, 7> kSyllables{"Do", "Re", "Mi", "Fa", "Sol", "La", "Si"};

constexpr NoteName kBFlat{6, -1};

/// The words for accidentals that stand behind a note.
using Spoken = std::pair<std::string_view, int>;
constexpr std::array<Spoken, 2> kEnglishWords{{{"flat", -1}, {"sharp", 1}}};
constexpr std::array<Spoken, 9> kLatinWords{{{"sostenido", 1},
                                             {"sustenido", 1},
                                             {"diesis", 1},
                                             {"dièse", 1},
                                             {"diese", 1},
                                             {"bemolle", -1},
                                             {"bemoll", -1},
                                             {"bemol", -1},
                                             {"bémol", -1}}};

/// Takes `word` off the front of `text`, small or capital letters alike.
bool take_word(std::string_view& text, std::string_view word)
{
    auto const same = [](char a, char b) { return small_letter(a) == small_letter(b); };
    if (text.size() < word.size() || !std::ranges::equal(text.substr(0, word.size()), word, same))
        return false;
    text.remove_prefix(word.size());
    return true;
}

/// "F #m7": a sign that a space parts from its note. Behind the space "#11" and "b5" are tones of the chord.
int take_parted_sign(std::string_view& text)
{
    auto rest = text.substr(std::min(text.find_first_not_of(' '), text.size()));
    bool const sharp = rest.starts_with("#") || rest.starts_with("♯");
    if (rest.size() == text.size() || !(sharp || rest.starts_with("♭")))
        return 0;
    int const alter = take_accidental(rest);
    if (!rest.empty() && rest.front() >= '0' && rest.front() <= '9')
        return 0;
    text = rest;
    return alter;
}

/// A sign or a word: "#", " flat", "-flat".
template <std::size_t N>
int take_accidental_or_word(std::string_view& text, std::array<Spoken, N> const& words)
{
    auto const before = text.size();
    if (int const alter = take_accidental(text); text.size() < before)
        return alter;
    auto rest = text;
    if (rest.starts_with(' ') || rest.starts_with('-'))
        rest.remove_prefix(1);
    for (auto const& [word, alter] : words)
        if (take_word(rest, word)) {
            text = rest;
            return alter;
        }
    return take_parted_sign(text);
}

char capital(char letter) { return letter >= 'a' && letter <= 'z' ? static_cast<char>(letter - 'a' + 'A') : letter; }

bool is_small(char letter) { return letter >= 'a' && letter <= 'z'; }

std::optional<WrittenNote> take_english(std::string_view& text)
{
    auto const letter = text.empty() ? std::string_view::npos : kEnglishLetters.find(capital(text.front()));
    if (letter == std::string_view::npos)
        return std::nullopt;
    bool const small = is_small(text.front());
    text.remove_prefix(1);
    return WrittenNote{{static_cast<int>(letter), take_accidental_or_word(text, kEnglishWords)}, small};
}

/// "is", "isis", "es", "eses", and behind E and A the short "s". In "Esus4" the s belongs to the quality.
int take_ending(std::string_view& text, char letter)
{
    constexpr std::array<Spoken, 4> kEndings{{{"isis", 2}, {"is", 1}, {"eses", -2}, {"es", -1}}};
    constexpr std::array<Spoken, 3> kShort{{{"ses", -2}, {"sas", -2}, {"s", -1}}};
    if (letter == 'E' || letter == 'A') {
        for (auto const& [ending, alter] : kShort)
            if (auto rest = text; take_word(rest, ending) && !(ending == "s" && rest.starts_with("us"))) {
                text = rest;
                return alter;
            }
    }
    for (auto const& [ending, alter] : kEndings) {
        bool const flat_with_e = alter < 0 && (letter == 'E' || letter == 'A'); // "Aes" is nobody's A flat
        if (!flat_with_e && take_word(text, ending))
            return alter;
    }
    return 0;
}

std::optional<WrittenNote> take_german(std::string_view& text)
{
    if (text.empty())
        return std::nullopt;
    char const letter = capital(text.front());
    bool const small = is_small(text.front());
    auto rest = text.substr(1);
    if (letter == 'B') { // "Bb" is the same note as international players write it; "B#" is no note of either
        auto const before = rest.size();
        int const alter = take_accidental(rest);
        if (rest.size() < before && alter != -1)
            return std::nullopt;
        text = rest;
        return WrittenNote{kBFlat, small};
    }
    auto const index = kGermanLetters.find(letter);
    if (index == std::string_view::npos)
        return std::nullopt;
    auto const before = rest.size();
    int alter = take_accidental(rest);
    if (rest.size() == before)
        alter = take_ending(rest, letter);
    text = rest;
    return WrittenNote{{static_cast<int>(index), alter}, small};
}

std::optional<WrittenNote> take_latin(std::string_view& text)
{
    constexpr std::array<Spoken, 15> kSpelled{{{"Sol", 4},
                                               {"Do", 0},
                                               {"Dó", 0},
                                               {"Dò", 0},
                                               {"Re", 1},
                                               {"Ré", 1},
                                               {"RÉ", 1},
                                               {"Mi", 2},
                                               {"Fa", 3},
                                               {"Fá", 3},
                                               {"FÁ", 3},
                                               {"La", 5},
                                               {"Lá", 5},
                                               {"LÁ", 5},
                                               {"Si", 6}}};
    constexpr std::array<std::string_view, 2> kCombiningAccents{"\u0301", "\u0300"};
    for (auto const& [syllable, letter] : kSpelled)
        if (take_word(text, syllable)) {
            for (auto const accent : kCombiningAccents)
                if (text.starts_with(accent))
                    text.remove_prefix(accent.size());
            return WrittenNote{{letter, take_accidental_or_word(text, kLatinWords)}, false};
        }
    return std::nullopt;
}

std::string german_text(NoteName note)
{
    if (note == kBFlat)
        return "B";
    char const letter = kGermanLetters[static_cast<std::size_t>(note.letter)];
    std::string text(1, letter);
    for (int i = 0; i < note.alter; ++i)
        text += "is";
    for (int i = 0; i < -note.alter; ++i)
        text += i == 0 && (letter == 'E' || letter == 'A') ? "s" : "es";
    return text;
}

/// `english` is the note in English: a letter with signs behind it.
std::string in_language(NoteName note, std::string const& english, NoteNames names)
{
    switch (names) {
    case NoteNames::english:
        break;
    case NoteNames::german:
        return german_text(note);
    case NoteNames::latin:
        return std::string(kSyllables[static_cast<std::size_t>(note.letter)]) + english.substr(1);
    }
    return english;
}

} // namespace

Result<NoteNames> note_names_called(std::string_view word)
{
    auto const found = std::ranges::find(kWords, word);
    if (found != kWords.end())
        return static_cast<NoteNames>(found - kWords.begin());
    auto const near = nearest_word(word, kWords);
    return Error{ErrorKind::invalid_input, fmt::format("\"{}\" is no kind of note names{}; write english, german (H, "
                                                       "Fis, B for B flat) or latin (Do, Re, Mi)",
                                                       word, near ? fmt::format("; did you mean {}?", *near) : "")};
}

std::string_view word_of(NoteNames names) { return kWords[static_cast<std::size_t>(names)]; }

std::string_view with_article(NoteNames names)
{
    return names == NoteNames::english ? "an English" : names == NoteNames::german ? "a German" : "a Latin";
}

std::optional<WrittenNote> take_note(std::string_view& text, NoteNames names)
{
    switch (names) {
    case NoteNames::english:
        return take_english(text);
    case NoteNames::german:
        return take_german(text);
    case NoteNames::latin:
        return take_latin(text);
    }
    return std::nullopt;
}

std::string text_of(NoteName note, NoteNames names) { return in_language(note, note.text(), names); }

std::string pretty_of(NoteName note, NoteNames names) { return in_language(note, note.pretty(), names); }

} // namespace tabard::overlay
