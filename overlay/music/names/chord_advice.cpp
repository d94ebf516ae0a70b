#include "overlay/base/nearest_word.h"
#include "overlay/base/small_letters.h"
#include "overlay/music/names/chord_reading.h"

#include <algorithm>
#include <utility>
#include <vector>

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

using Third = ChordName::Third;

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

std::optional<ChordName> chord_of(std::string_view text, NoteNames names) { return read_chord(text, names).chord; }

std::string_view before(std::string_view text, std::string_view not_read)
{
    return text.substr(0, static_cast<std::size_t>(not_read.data() - text.data()));
}

std::string did_you_mean(std::string_view name) { return fmt::format("; did you mean \"{}\"?", name); }

/// "Do7": a D with the small o of diminished, or a C.
std::string advice_of_do(std::string_view text, NoteNames names)
{
    if (names == NoteNames::latin || !small_letters(std::string(text)).starts_with("do"))
        return "";
    auto const latin = chord_of(text, NoteNames::latin);
    auto const diminished = fmt::format("Ddim{}", text.substr(2));
    if (!latin || !chord_of(diminished, names))
        return "";
    return fmt::format("; it is read in two ways: write \"{}\", or \"{}\" where it is a Latin name", diminished,
                       latin->text(names));
}

/// What another language means by the name.
std::string advice_of_languages(std::string_view text, NoteNames names)
{
    auto const other = language_of(text, names);
    if (!other)
        return "";
    bool const h = *other == NoteNames::german && (text.front() == 'H' || text.front() == 'h');
    return fmt::format("; as {} name it is \"{}\"{}", with_article(*other), chord_of(text, *other)->text(names),
                       h && names == NoteNames::english ? " (and German B is \"Bb\")" : "");
}

/// "C2", "D4/F#", "D7/4": a number that players read as the tone in the third's place, or as one more; "Do7+" likewise.
std::string advice_of_two_ways(std::string_view text, std::string_view not_read, NoteNames names)
{
    if (not_read.empty())
        return "";
    auto begin = before(text, not_read);
    auto after = not_read.substr(1);
    char const sign = not_read.front();
    std::vector<std::string> meant;
    if (sign == '2' || sign == '4') {
        begin = begin.substr(0, begin.find_last_not_of("/( ") + 1);
        if (after.starts_with(')'))
            after.remove_prefix(1);
        auto const chord = chord_of(begin, names);
        bool const minor = chord && chord->third == Third::minor;
        for (std::string_view const word : {"sus", "add"})
            if (!minor || word == "add")
                meant.push_back(fmt::format("{}{}{}{}", begin, word, sign, after));
    } else if (sign == '+' && begin.ends_with('7')) {
        begin.remove_suffix(1);
        meant = {fmt::format("{}maj7{}", begin, after), fmt::format("{}7#5{}", begin, after)};
    }
    std::erase_if(meant, [&](std::string const& name) { return !chord_of(name, names); });
    if (meant.empty())
        return "";
    if (meant.size() == 1)
        return did_you_mean(meant.front());
    return fmt::format("; \"{}\" is read in two ways: write \"{}\" or \"{}\"", text, meant[0], meant[1]);
}

/// "C over E", "C\\E", "B b": other signs between the parts of a name; "C G": two names.
std::string advice_of_parts(std::string_view text, NoteNames names)
{
    using Change = std::pair<std::string_view, std::string_view>;
    for (auto const& [from, to] : {Change{"\\", "/"}, {" over ", "/"}, {" on ", "/"}, {" ", ""}})
        if (auto const at = text.find(from); at != std::string_view::npos) {
            auto name = std::string(text);
            for (auto i = at; i != std::string::npos; i = name.find(from, i + to.size()))
                name.replace(i, from.size(), to);
            if (chord_of(name, names))
                return did_you_mean(name);
        }
    auto const end = text.find_first_of(", ");
    auto const next = end == std::string_view::npos ? end : text.find_first_not_of(", ", end);
    if (next == std::string_view::npos || !chord_of(text.substr(0, end), names) || !chord_of(text.substr(next), names))
        return "";
    return fmt::format("; \"{}\" and \"{}\" are two names: write each for itself", text.substr(0, end),
                       text.substr(next));
}

std::string advice_of_quality(std::string_view text, std::string_view not_read, NoteNames names)
{
    auto quality = text;
    auto const root = take_note(quality, names);
    if (!root)
        return "";
    bool const rest_is_all = not_read.size() >= quality.size();
    auto const slash = quality.find_last_of('/');
    auto const bass = slash == std::string_view::npos ? std::string_view{} : quality.substr(slash);
    quality = quality.substr(0, slash);
    auto const near = nearest_word(quality, known_qualities());
    auto const begin = not_read.empty() || rest_is_all ? std::nullopt : chord_of(before(text, not_read), names);
    if (begin && (!near || not_read.size() < edit_distance(quality, *near))) // what was understood is a name
        return did_you_mean(begin->text(names));
    if (!near)
        return "";
    auto const name = text_of(root->note, names) + std::string(*near);
    auto const with_bass = name + std::string(bass);
    return did_you_mean(chord_of(with_bass, names) ? with_bass : name); // else the bass is what is wrong
}

std::string_view where_names_begin(NoteNames names)
{
    switch (names) {
    case NoteNames::english:
        return "a capital letter A to G";
    case NoteNames::german:
        return "a letter A to H";
    case NoteNames::latin:
        break;
    }
    return "Do, Re, Mi, Fa, Sol, La or Si";
}

} // namespace

std::optional<std::string> with_capital(std::string_view plain, NoteNames names)
{
    if (plain.empty() || plain.front() < 'a' || plain.front() > 'g')
        return std::nullopt;
    auto name = std::string(plain);
    name.front() = static_cast<char>(name.front() - 'a' + 'A');
    return chord_of(name, names) ? std::optional{name} : std::nullopt;
}

std::string advice_for(std::string_view plain, ChordReading const& reading, NoteNames names)
{
    auto const text = plain;
    auto const not_read = reading.not_read;
    if (auto const name = with_capital(text, names))
        return did_you_mean(*name);
    if (auto advice = advice_of_do(text, names); !advice.empty())
        return advice;
    if (auto advice = advice_of_languages(text, names); !advice.empty())
        return advice;
    if (auto advice = advice_of_two_ways(text, not_read, names); !advice.empty())
        return advice;
    if (auto advice = advice_of_parts(text, names); !advice.empty())
        return advice;
    if (auto advice = advice_of_quality(text, not_read, names); !advice.empty())
        return advice;
    if (reading.root.empty() && (not_read.size() >= text.size() || text.empty()))
        return fmt::format("; a chord name begins with {}", where_names_begin(names));
    return "";
}

} // namespace tabard::overlay
