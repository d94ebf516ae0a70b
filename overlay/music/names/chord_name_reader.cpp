#include "overlay/base/characters.h"
#include "overlay/base/nearest_word.h"
#include "overlay/music/names/chord_name.h"
#include "overlay/music/sort_once.h"

#include <algorithm>
#include <array>
#include <utility>

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

using Third = ChordName::Third;
using Seventh = ChordName::Seventh;

constexpr std::size_t kLongestName = 64;

bool is_digit(char c) { return c >= '0' && c <= '9'; }

/// Reads what stands behind the root. Each take_... function reads one thing and says whether it was there; the first
/// character that nobody takes is where the error points.
class QualityReader {
public:
    explicit QualityReader(std::string_view text) : m_rest(text) {}

    /// Reads up to the bass or the end. False: stopped at rest().
    bool read(ChordName& chord)
    {
        bool first = true;
        while (!m_rest.empty() && m_rest.front() != '/') {
            if (take_bracket_or_space())
                continue;
            auto const before = m_rest;
            bool const taken =
                (first && take_family(chord)) || take_word(chord) || take_altered(chord) || take_number(chord);
            if (!taken) {
                m_rest = before;
                return false;
            }
            first = false;
        }
        return m_brackets == 0 && finish(chord);
    }

    std::string_view rest() const { return m_rest; }

private:
    bool take(std::string_view sign)
    {
        if (!m_rest.starts_with(sign))
            return false;
        m_rest.remove_prefix(sign.size());
        return true;
    }

    template <std::size_t N>
    bool take_any(std::array<std::string_view, N> const& signs)
    {
        return std::ranges::any_of(signs, [&](std::string_view sign) { return take(sign); });
    }

    bool take_bracket_or_space()
    {
        if (take("(")) {
            ++m_brackets;
            m_separated = true;
            return true;
        }
        if (m_brackets > 0 && take(")")) {
            --m_brackets;
            m_separated = true;
            return true;
        }
        if (take(" ") || (comma_between_tones() && take(","))) {
            m_separated = true;
            return true;
        }
        return false;
    }

    /// "C7(b9,#11)"; a comma that ends the name is none of its signs.
    bool comma_between_tones() const
    {
        auto const next = m_rest.find_first_not_of(", ");
        return next != std::string_view::npos && m_rest[next] != '/';
    }

    /// Minor, major, diminished ...: only directly behind the root.
    bool take_family(ChordName& chord)
    {
        constexpr std::array<std::string_view, 8> kMinor{"minor", "min", "Min", "MIN", "mi", "MI", "m", "-"};
        if (m_rest.starts_with("omit"))
            return false;
        if (!m_rest.starts_with("madd") && take_major())
            return true;
        if (take_any(kMinor))
            chord.third = Third::minor;
        else if (take("dim") || take("o") || take("°") || take("º")) {
            chord.third = Third::minor;
            chord.altered.push_back({5, -1});
            m_diminished = true;
        } else if (take("ø") || take("Ø")) {
            chord.third = Third::minor;
            chord.altered.push_back({5, -1});
            m_half_diminished = true;
        } else
            return false;
        return true;
    }

    bool take_major()
    {
        constexpr std::array<std::string_view, 6> kMajor{"major", "maj", "Maj", "MAJ", "ma", "Ma"};
        constexpr std::array<std::string_view, 4> kTriangle{"△", "Δ", "∆", "^"};
        if (take_any(kTriangle))
            m_major = m_triangle = true;
        else if (take_any(kMajor) || (!m_rest.starts_with("MI") && (take("MA") || take("M"))))
            m_major = true;
        else
            return false;
        return true;
    }

    bool take_word(ChordName& chord)
    {
        if (take("sus"))
            return take_suspension(chord);
        if (take("add"))
            return take_added(chord);
        if (take("no") || take("omit"))
            return take_omitted(chord);
        if (take("alt"))
            return take_alt(chord);
        if (take("dom"))
            return chord.third == Third::major && chord.number == 0 && is_digit(next());
        if (m_rest.starts_with("+") && (chord.number == 0 || !is_digit(after_next())) && !m_separated) {
            take("+");
            return add_altered(chord, {5, 1});
        }
        if (take("aug"))
            return add_altered(chord, {5, 1});
        // "CmMaj7", "Cdim(maj7)": a major seventh that is told behind the family.
        return chord.number == 0 && !m_major && take_major();
    }

    bool take_suspension(ChordName& chord)
    {
        if (chord.third == Third::none || m_diminished || m_half_diminished) // no third to hold back, or no name for it
            return false;
        if (take("2sus4") || take("4sus2") || take("24") || take("42"))
            chord.third = Third::second_and_fourth;
        else if (take("2"))
            chord.third = Third::second;
        else {
            take("4");
            chord.third = Third::fourth;
        }
        return !is_digit(next());
    }

    bool take_added(ChordName& chord)
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

    bool take_omitted(ChordName& chord)
    {
        take(" ");
        int const degree = take_digits();
        if (degree == 3)
            take("rd");
        if (degree == 5)
            take("th");
        chord.omitted.push_back(degree);
        return degree == 3 || degree == 5;
    }

    bool take_alt(ChordName& chord)
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
    bool take_altered(ChordName& chord)
    {
        bool const plus_and_minus = chord.number != 0 || m_separated;
        if (!plus_and_minus && (m_rest.starts_with("+") || m_rest.starts_with("-")))
            return false;
        int const alter = take_sign();
        return alter != 0 && add_altered(chord, {take_digits(), alter});
    }

    /// The half-steps of one accidental; 0 where there is none.
    int take_sign()
    {
        if (take("b") || take("♭") || take("-"))
            return -1;
        if (take("#") || take("♯") || take("+"))
            return 1;
        return 0;
    }

    bool add_altered(ChordName& chord, Interval tone) const
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

    bool take_number(ChordName& chord)
    {
        if (chord.number == 0 && take("6/9"))
            return set_number(chord, ChordName::kSixNine);
        int const number = take_digits();
        if (chord.number != 0) { // "C7(13)": one more tone
            if (!m_separated || (number != 9 && number != 11 && number != 13))
                return false;
            chord.added.push_back(number);
            return true;
        }
        return set_number(chord, number);
    }

    bool set_number(ChordName& chord, int number)
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

    bool finish(ChordName& chord)
    {
        if ((m_triangle || m_half_diminished) &&
            chord.number == 0) // a triangle and a slashed circle alone mean the seventh
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

    /// A seventh with a 9 is a 9, a 6 with a 9 is a 6/9.
    static void fold_nine(ChordName& chord)
    {
        bool const altered = std::ranges::any_of(chord.altered, [](Interval tone) { return tone.degree == 9; });
        if (altered || (chord.number != 7 && chord.number != 6) ||
            std::ranges::find(chord.added, 9) == chord.added.end())
            return;
        chord.number = chord.number == 7 ? 9 : ChordName::kSixNine;
        std::erase(chord.added, 9);
    }

    char next() const { return m_rest.empty() ? '\0' : m_rest.front(); }
    char after_next() const { return m_rest.size() < 2 ? '\0' : m_rest[1]; }

    /// One or two digits, as far as they make a degree; 0 where there is none.
    int take_digits()
    {
        constexpr std::array<std::string_view, 10> kNumbers{"69", "13", "11", "9", "7", "6", "5", "4", "3", "2"};
        constexpr std::array<int, 10> kValues{69, 13, 11, 9, 7, 6, 5, 4, 3, 2};
        for (std::size_t i = 0; i < kNumbers.size(); ++i)
            if (take(kNumbers[i]))
                return kValues[i];
        return 0;
    }

    std::string_view m_rest;
    int m_brackets = 0;
    bool m_separated = false; ///< a bracket or space stood somewhere before
    bool m_major = false;     ///< the seventh, if one comes, is major
    bool m_triangle = false;
    bool m_diminished = false;
    bool m_half_diminished = false;
};

/// The root of a chord. In "Abb5" the second flat belongs to the fifth: nobody writes a double flat before a number.
std::optional<NoteName> take_root(std::string_view& text)
{
    auto const whole = text;
    auto root = take_note(text);
    if (!root || (root->alter != 2 && root->alter != -2))
        return root;
    bool const plain = text.data() - whole.data() == 3 && (whole[1] == 'b' || whole[1] == '#');
    if (plain && (text.starts_with("5") || text.starts_with("9") || text.starts_with("11") || text.starts_with("13"))) {
        root->alter /= 2;
        text = whole.substr(2);
    }
    return root;
}

std::vector<std::string_view> const& known_qualities()
{
    static std::vector<std::string_view> const qualities{
        "",        "m",      "5",      "6",     "m6",   "6/9",      "m6/9",  "7",     "m7",     "maj7",    "mMaj7",
        "9",       "m9",     "maj9",   "mMaj9", "11",   "m11",      "maj11", "13",    "m13",    "maj13",   "dim",
        "dim7",    "m7b5",   "aug",    "7#5",   "7b5",  "7#9",      "7b9",   "7#11",  "7b13",   "9#11",    "9b5",
        "9#5",     "13b9",   "13#11",  "7alt",  "sus2", "sus4",     "sus",   "7sus4", "7sus2",  "9sus4",   "13sus4",
        "maj7#11", "maj7b5", "maj7#5", "add2",  "add4", "add9",     "add11", "madd9", "madd11", "maj",     "min",
        "maj9#11", "7b9#5",  "7#9#5",  "7b9b5", "no3",  "sus2sus4", "aug7",  "minor", "major",  "m7add11", "min7"};
    return qualities;
}

/// What was read of a name. `not_read` is where it stopped; `chord` is there if the text is a name to its end.
struct Reading {
    std::optional<ChordName> chord;
    std::string_view not_read;
};

Reading read_name(std::string_view text)
{
    constexpr std::array<std::string_view, 5> kNoChord{"N.C.", "NC", "N.C", "n.c.", "No chord"};
    ChordName chord;
    if (std::ranges::find(kNoChord, text) != kNoChord.end()) {
        chord.no_chord = true;
        return {chord, {}};
    }
    auto rest = text;
    auto const root = take_root(rest);
    if (!root)
        return {std::nullopt, rest};
    chord.root = *root;
    QualityReader reader(rest);
    bool const quality = reader.read(chord);
    rest = reader.rest();
    if (!quality)
        return {std::nullopt, rest};
    if (rest.empty())
        return {chord, {}};
    auto bass_text = rest.substr(1);
    chord.bass = take_note(bass_text);
    if (!chord.bass)
        return {std::nullopt, rest};
    return {bass_text.empty() ? std::optional{chord} : std::nullopt, bass_text};
}

bool is_name(std::string_view text) { return read_name(text).chord.has_value(); }

std::string suggestion(std::string_view text, std::string_view not_read)
{
    auto rest = text;
    auto const root = take_root(rest);
    if (!root) {
        if (text.starts_with('H'))
            return " (German H is B, and German B is Bb)";
        if (!text.empty() && text.front() >= 'a' && text.front() <= 'g') {
            auto name = std::string(text);
            name.front() = static_cast<char>(name.front() - 'a' + 'A');
            if (is_name(name))
                return fmt::format("; did you mean \"{}\"?", name);
        }
        return "; a chord name begins with a capital letter A to G";
    }
    if (rest == "2" || rest == "4")
        return fmt::format("; \"{0}{1}\" is read in two ways: write \"{0}sus{1}\" or \"{0}add{1}\"", root->text(),
                           rest);
    auto const slash = rest.find_last_of('/');
    auto const quality = rest.substr(0, slash);
    auto const near = nearest_word(quality, known_qualities());
    if (!near) { // what was understood so far may be a name
        auto const begin = read_name(text.substr(0, text.size() - not_read.size())).chord;
        return begin && not_read.size() < rest.size() ? fmt::format("; did you mean \"{}\"?", begin->text()) : "";
    }
    auto const bass = slash == std::string_view::npos ? std::string_view{} : rest.substr(slash);
    auto name = root->text() + std::string(*near) + std::string(bass);
    if (!is_name(name)) // the bass is what is wrong
        name = root->text() + std::string(*near);
    return fmt::format("; did you mean \"{}\"?", name);
}

Error not_understood(std::string_view text, std::string_view rest)
{
    if (rest.empty())
        return {ErrorKind::invalid_input,
                fmt::format("chord name \"{}\" ends too early{}", text, suggestion(text, rest))};
    return {ErrorKind::invalid_input,
            fmt::format("chord name \"{}\": \"{}\" at position {} is not understood{}", text, rest,
                        count_characters(text.substr(0, text.size() - rest.size())) + 1, suggestion(text, rest))};
}

} // namespace

Result<ChordName> ChordName::parse(std::string_view text)
{
    if (text.size() > kLongestName)
        return Error{ErrorKind::invalid_input,
                     fmt::format("a chord name has at most {} characters; this one has {}", kLongestName, text.size())};
    auto const reading = read_name(text);
    if (!reading.chord)
        return not_understood(text, reading.not_read);
    return *reading.chord;
}

} // namespace tabard::overlay
