#include "overlay/music/names/quality_reader.h"

#include "overlay/base/small_letters.h"
#include "overlay/music/sort_once.h"

#include <algorithm>
#include <array>
#include <utility>

namespace tabard::overlay {
namespace {

using Third = ChordName::Third;
using Seventh = ChordName::Seventh;

bool is_digit(char c) { return c >= '0' && c <= '9'; }

bool begins_with_word(std::string_view text, std::string_view word)
{
    auto const same = [](char a, char b) { return small_letter(a) == small_letter(b); };
    return text.size() >= word.size() && std::ranges::equal(text.substr(0, word.size()), word, same);
}

/// A 9 on a seventh is a 9, on a 6 a 6/9.
void fold_nine(ChordName& chord)
{
    bool const altered = std::ranges::any_of(chord.altered, [](Interval tone) { return tone.degree == 9; });
    if (altered || (chord.number != 7 && chord.number != 6) || std::ranges::find(chord.added, 9) == chord.added.end())
        return;
    chord.number = chord.number == 7 ? 9 : ChordName::kSixNine;
    std::erase(chord.added, 9);
}

} // namespace

bool QualityReader::read(ChordName& chord)
{
    bool first = true;
    if (m_small)
        chord.third = Third::minor;
    while (!m_rest.empty()) {
        if (take_bracket_or_space())
            continue;
        if (next() == '/' && !take_slash_before_tone())
            break;
        auto const before = m_rest;
        bool const taken =
            (first && take_family(chord)) || take_more(chord) || take_altered(chord) || take_number(chord);
        if (!taken) {
            m_rest = before;
            return false;
        }
        first = false;
        m_slash = false;
    }
    return m_brackets == 0 && finish(chord);
}

bool QualityReader::take(std::string_view sign)
{
    if (!m_rest.starts_with(sign))
        return false;
    m_rest.remove_prefix(sign.size());
    return true;
}

/// Small and capital letters alike.
bool QualityReader::take_word(std::string_view word)
{
    if (!begins_with_word(m_rest, word))
        return false;
    m_rest.remove_prefix(word.size());
    return true;
}

bool QualityReader::take_bracket_or_space()
{
    bool taken = true;
    if (take("("))
        ++m_brackets;
    else if (m_brackets > 0 && take(")"))
        --m_brackets;
    else
        taken = take(" ") || (comma_between_tones() && take_any(",", "."));
    m_separated = m_separated || taken;
    return taken;
}

/// "C7(b9,#11)", "Cmaj.7"; a comma or a point that ends the name is none of its signs.
bool QualityReader::comma_between_tones() const
{
    auto const next = m_rest.find_first_not_of(",. ");
    return next != std::string_view::npos && m_rest[next] != '/';
}

/// The slash of "Am/maj7", "C7/9" and "G7/b9", which is no bass.
bool QualityReader::take_slash_before_tone()
{
    auto rest = m_rest.substr(1);
    rest.remove_prefix(std::min(rest.find_first_not_of(' '), rest.size()));
    auto tone = rest;
    for (std::string_view const sign : {"#", "b", "♯", "♭", "+", "-"})
        if (tone.starts_with(sign)) {
            tone.remove_prefix(sign.size());
            break;
        }
    bool const number = !tone.empty() && is_digit(tone.front());
    bool const seventh = rest.starts_with("M7") || rest.starts_with("j7");
    bool const word = begins_with_word(rest, "maj") || begins_with_word(rest, "add") || begins_with_word(rest, "sus") ||
                      begins_with_word(rest, "no") || begins_with_word(rest, "omit");
    if (!number && !seventh && !word)
        return false;
    m_rest = rest;
    m_separated = m_slash = true;
    return true;
}

/// Minor, major, diminished ...: only directly behind the root.
bool QualityReader::take_family(ChordName& chord)
{
    if (begins_with_word(m_rest, "omit"))
        return false;
    bool const added = begins_with_word(m_rest, "madd"); // of a minor chord or, with a capital, of a major one
    if (!added && take_major())
        return !m_small;
    if (added && take("M"))
        return !m_small;
    if (take_minor()) {
        chord.third = Third::minor;
        return true;
    }
    return take_diminished(chord);
}

bool QualityReader::take_minor()
{
    if (m_names == NoteNames::german && take_any_word("-moll", "moll"))
        return true;
    if (m_names == NoteNames::latin && take_any_word("menor", "mineur", "minore"))
        return true;
    return take_any_word("minor", "min") || take_any("mi", "MI", "Mi", "m", "-");
}

bool QualityReader::take_diminished(ChordName& chord)
{
    if (take_any("ø") || take_any_word("half-diminished", "half diminished", "half-dim", "half dim", "halfdim"))
        m_half_diminished = true;
    else if (take_any_word("diminished", "dim") || take_any("o", "°"))
        m_diminished = true;
    else
        return false;
    chord.third = Third::minor;
    chord.altered.push_back({5, -1});
    return true;
}

bool QualityReader::take_major()
{
    bool const joined = (next() == 'j' || next() == 'J') && is_digit(after_next());                     // "Cj7"
    bool const short_word = begins_with_word(m_rest, "mj") && m_rest.size() > 2 && is_digit(m_rest[2]); // "Cmj7"
    bool const minor = m_rest.starts_with("MI");
    bool const triangle = take_any("△", "^");
    bool const taken = triangle || (m_names == NoteNames::german && take_any_word("-dur", "dur")) ||
                       (m_names == NoteNames::latin && take_any_word("mayor", "maggiore", "majeur", "maior")) ||
                       take_any_word("major", "maj") || (short_word && take_word("mj")) || take_any("ma", "Ma") ||
                       (joined && take_any("j", "J")) || (!minor && take_any("MA", "M"));
    m_triangle = m_triangle || triangle;
    m_major = m_major || taken;
    return taken;
}

/// What may stand behind the family, in any order.
bool QualityReader::take_more(ChordName& chord)
{
    if (take_any_word("suspended", "sus"))
        return take_suspension(chord);
    if (take_any_word("added", "add"))
        return take_added(chord);
    if (take_any_word("no", "omit"))
        return take_omitted(chord);
    if (take_any_word("altered", "alt"))
        return take_alt(chord);
    if (take_any_word("dominant", "dom")) {
        take(" ");
        bool const number = is_digit(next()) || begins_with_word(m_rest, "seven") || begins_with_word(m_rest, "nin");
        return number && chord.third == Third::major && chord.number == 0;
    }
    if (take_any_word("augmented", "aug"))
        return add_altered(chord, {5, 1});
    return take_plus(chord) || take_late_major(chord);
}

/// A fifth that is raised. In Latin countries "7+" is the major seventh: there it may mean either.
bool QualityReader::take_plus(ChordName& chord)
{
    bool const alone = next() == '+' && (chord.number == 0 || !is_digit(after_next())) && !m_separated;
    if (!alone || (m_names != NoteNames::english && chord.number == 7))
        return false;
    take("+");
    return add_altered(chord, {5, 1});
}

/// "CmMaj7", "Cdim(maj7)", "C7M": a major seventh that is told behind the family or behind the number.
bool QualityReader::take_late_major(ChordName& chord)
{
    if (m_major || (chord.number != 0 && chord.seventh != Seventh::minor) || !take_major())
        return false;
    if (chord.number == 0)
        return true;
    chord.seventh = Seventh::major;
    m_separated = true;
    return !is_digit(next());
}

bool QualityReader::take_suspension(ChordName& chord)
{
    // no third to hold back, or no name for it
    if (chord.third == Third::none || m_small || m_diminished || m_half_diminished)
        return false;
    take(" ");
    if (take_any("2sus4", "4sus2", "24", "42"))
        chord.third = Third::second_and_fourth;
    else if (take("2"))
        chord.third = Third::second;
    else {
        take("4");
        chord.third = Third::fourth;
    }
    take_any("nd", "th");
    return true;
}

bool QualityReader::take_added(ChordName& chord)
{
    take(" ");
    int const alter = take_sign();
    auto const degree = take_digits();
    if (alter != 0)
        return add_altered(chord, {degree, alter});
    if (degree == 6 && chord.number == 0)
        chord.number = 6;
    else if (degree == 2 || degree == 4 || degree == 9 || degree == 11 || degree == 13)
        chord.added.push_back(degree);
    else
        return false;
    return true;
}

bool QualityReader::take_omitted(ChordName& chord)
{
    take(" ");
    int const degree = take_digits();
    chord.omitted.push_back(degree);
    return degree == 3 || degree == 5;
}

bool QualityReader::take_alt(ChordName& chord)
{
    if ((chord.number != 0 && chord.number != 7) || chord.third != Third::major || m_major ||
        chord.seventh == Seventh::major)
        return false;
    chord.number = 7;
    chord.seventh = Seventh::minor;
    chord.altered.insert(chord.altered.end(), {{9, -1}, {9, 1}, {11, 1}, {13, -1}});
    chord.omitted.push_back(5);
    return true;
}

/// b5, #11, and behind a number or in brackets also -5, +9.
bool QualityReader::take_altered(ChordName& chord)
{
    bool const plus_and_minus = chord.number != 0 || m_separated;
    if (!plus_and_minus && (next() == '+' || next() == '-'))
        return false;
    int const alter = take_sign();
    return alter != 0 && add_altered(chord, {take_digits(), alter});
}

/// The half-steps of one accidental; 0 where there is none.
int QualityReader::take_sign()
{
    if (take_any("b", "♭", "-"))
        return -1;
    return take_any("#", "♯", "+") ? 1 : 0;
}

bool QualityReader::add_altered(ChordName& chord, Interval tone) const
{
    if (tone.degree == 5 && (m_diminished || m_half_diminished)) // their fifth is said already
        return tone.alter < 0;
    if (tone.degree == 2 || tone.degree == 4 || tone.degree == 6)
        tone.degree += 7;
    if (tone.degree != 5 && tone.degree != 9 && tone.degree != 11 && tone.degree != 13)
        return false;
    chord.altered.push_back(tone);
    return true;
}

bool QualityReader::take_number(ChordName& chord)
{
    if (chord.number == 0 && !m_slash && take("6/9"))
        return set_number(chord, ChordName::kSixNine);
    int const number = take_digits();
    bool const sign_behind = (next() == '+' || next() == '-') && !is_digit(after_next());
    if (sign_behind && (chord.number != 0 || number == 5)) // "C7 9-", "C5+"
        return add_altered(chord, {number, take_sign()});
    bool const one_more = number == 9 || number == 11 || number == 13;
    if (chord.number != 0 || (m_slash && one_more)) { // "C7(13)", "C/9": one more tone
        if (!m_separated || !one_more)
            return false;
        chord.added.push_back(number);
        return true;
    }
    return !(m_slash && number == 5) && set_number(chord, number); // nobody's "C/5" is a power chord
}

bool QualityReader::set_number(ChordName& chord, int number)
{
    switch (number) {
    case 5:
        if (chord.third != Third::major || m_major)
            return false;
        chord.third = Third::none;
        return true;
    case 6:
    case ChordName::kSixNine:
        chord.number = number;
        return chord.third != Third::none;
    case 7:
    case 9:
    case 11:
    case 13:
        chord.number = number;
        chord.seventh = m_major                                          ? Seventh::major
                        : m_diminished && chord.seventh == Seventh::none ? Seventh::diminished
                                                                         : Seventh::minor;
        return chord.third != Third::none;
    default:
        return false;
    }
}

bool QualityReader::finish(ChordName& chord)
{
    // A triangle and a slashed circle alone mean the seventh.
    if ((m_triangle || m_half_diminished) && chord.number == 0)
        set_number(chord, 7);
    if (chord.number == 0 && std::erase(chord.omitted, 3) > 0)
        chord.third = Third::none;
    if (chord.third != Third::major && chord.third != Third::minor)
        std::erase(chord.omitted, 3);
    if (std::ranges::any_of(chord.altered, [](Interval tone) { return tone.degree == 5; }))
        std::erase(chord.omitted, 5);
    fold_nine(chord);
    sort_once(chord.altered);
    sort_once(chord.added);
    sort_once(chord.omitted);
    return true;
}

/// One or two digits or a word, as far as they make a degree; 0 where there is none.
int QualityReader::take_digits()
{
    constexpr std::array<std::pair<std::string_view, int>, 10> kNumbers{
        {{"69", 69}, {"13", 13}, {"11", 11}, {"9", 9}, {"7", 7}, {"6", 6}, {"5", 5}, {"4", 4}, {"3", 3}, {"2", 2}}};
    constexpr std::array<std::pair<std::string_view, int>, 6> kWords{
        {{"sixth", 6}, {"seventh", 7}, {"seven", 7}, {"ninth", 9}, {"eleventh", 11}, {"thirteenth", 13}}};
    for (auto const& [digits, degree] : kNumbers)
        if (take(digits)) {
            take_any("th", degree == 3 ? "rd" : "th");
            return degree;
        }
    for (auto const& [word, degree] : kWords)
        if (take_word(word))
            return degree;
    return 0;
}

} // namespace tabard::overlay
