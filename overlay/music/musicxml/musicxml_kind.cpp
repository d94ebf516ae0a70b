#include "overlay/music/musicxml/musicxml_kind.h"

#include <algorithm>
#include <array>
#include <initializer_list>
#include <iterator>

namespace tabard::overlay {
namespace {

struct NamedKind {
    std::string_view kind;
    std::string_view name; ///< the same quality on C
};

/// kind-values of MusicXML 4.0 that are chord names.
constexpr std::array<NamedKind, 26> kKinds{{{"major", "C"},
                                            {"minor", "Cm"},
                                            {"augmented", "Caug"},
                                            {"diminished", "Cdim"},
                                            {"dominant", "C7"},
                                            {"major-seventh", "Cmaj7"},
                                            {"minor-seventh", "Cm7"},
                                            {"diminished-seventh", "Cdim7"},
                                            {"augmented-seventh", "C7#5"},
                                            {"half-diminished", "Cm7b5"},
                                            {"major-minor", "CmMaj7"},
                                            {"major-sixth", "C6"},
                                            {"minor-sixth", "Cm6"},
                                            {"dominant-ninth", "C9"},
                                            {"major-ninth", "Cmaj9"},
                                            {"minor-ninth", "Cm9"},
                                            {"dominant-11th", "C11"},
                                            {"major-11th", "Cmaj11"},
                                            {"minor-11th", "Cm11"},
                                            {"dominant-13th", "C13"},
                                            {"major-13th", "Cmaj13"},
                                            {"minor-13th", "Cm13"},
                                            {"suspended-second", "Csus2"},
                                            {"suspended-fourth", "Csus4"},
                                            {"power", "C5"},
                                            {"none", "N.C."}}};

using Third = ChordName::Third;
using Seventh = ChordName::Seventh;

ChordName on_c(ChordName chord)
{
    chord.root = {};
    chord.bass.reset();
    return chord;
}

/// Alteration of an added tone against a dominant chord, whose seventh is minor.
int against_dominant(Interval interval) { return interval.alter + (interval.degree == 7 ? 1 : 0); }

/// The kind whose tones can be changed into those of `chord` with the fewest degrees.
std::vector<Degree> degrees_between(std::vector<Interval> const& from, std::vector<Interval> const& to)
{
    std::vector<Degree> degrees;
    auto left = from;
    std::vector<Interval> wanted;
    for (auto const interval : to)
        if (std::erase(left, interval) == 0)
            wanted.push_back(interval);
    for (auto const interval : wanted) {
        auto const same = std::ranges::find(left, interval.degree, &Interval::degree);
        if (same != left.end()) {
            degrees.push_back({interval.degree, interval.alter - same->alter, Degree::Type::alter});
            left.erase(same);
        } else {
            degrees.push_back({interval.degree, against_dominant(interval), Degree::Type::add});
        }
    }
    for (auto const interval : left)
        degrees.push_back({interval.degree, 0, Degree::Type::subtract});
    return degrees;
}

/// The names of kinds, read once.
std::vector<std::pair<std::string_view, ChordName>> const& kinds()
{
    static auto const all = [] {
        std::vector<std::pair<std::string_view, ChordName>> read;
        for (auto const& [kind, name] : kKinds)
            read.emplace_back(kind, *ChordName::parse(name));
        return read;
    }();
    return all;
}

bool apply(Degree const& degree, std::vector<Interval>& tones)
{
    if (degree.value < 1 || degree.value > 13 || degree.alter < -3 || degree.alter > 3)
        return false;
    auto const same = std::ranges::find(tones, degree.value, &Interval::degree);
    switch (degree.type) {
    case Degree::Type::add:
        tones.push_back({degree.value, degree.alter - (degree.value == 7 ? 1 : 0)});
        return true;
    case Degree::Type::alter:
        if (same == tones.end())
            return false;
        same->alter += degree.alter;
        return true;
    case Degree::Type::subtract:
        if (same == tones.end())
            return false;
        tones.erase(same);
        return true;
    }
    return false;
}

bool take(std::vector<Interval>& tones, Interval tone) { return std::erase(tones, tone) > 0; }

/// Which third or suspension the tones hold.
Third take_third(std::vector<Interval>& tones)
{
    if (take(tones, {3, 0}))
        return Third::major;
    if (take(tones, {3, -1}))
        return Third::minor;
    bool const second = take(tones, {2, 0});
    bool const fourth = take(tones, {4, 0});
    return second && fourth ? Third::second_and_fourth : second ? Third::second : fourth ? Third::fourth : Third::none;
}

Seventh take_seventh(std::vector<Interval>& tones)
{
    return take(tones, {7, 0})    ? Seventh::major
           : take(tones, {7, -1}) ? Seventh::minor
           : take(tones, {7, -2}) ? Seventh::diminished
                                  : Seventh::none;
}

/// Whether a chord name has words for these upper tones: b5 #9 ..., add2 add13 ...
bool sayable(ChordName const& chord)
{
    auto const in = [](std::initializer_list<int> degrees, int degree) {
        return std::ranges::find(degrees, degree) != degrees.end();
    };
    return std::ranges::all_of(chord.altered,
                               [&](Interval tone) {
                                   return in({5, 9, 11, 13}, tone.degree) && tone.alter * tone.alter == 1;
                               }) &&
           std::ranges::all_of(chord.added, [&](int degree) {
               return in({2, 4, 9, 11, 13}, degree);
           });
}

/// `chord` with the number that says most of its natural upper tones; the others are added. None where no number does.
std::optional<ChordName> with_number(ChordName chord, std::vector<Interval> const& tones)
{
    for (int const number : {13, 11, 9, 7}) {
        if (number > 7 && std::ranges::find(tones, Interval{number, 0}) == tones.end())
            continue;
        chord.number = number;
        chord.added.clear();
        auto const said = chord.intervals();
        for (auto const tone : tones)
            if (tone.degree > 7 && tone.alter == 0 && std::ranges::find(said, tone) == said.end())
                chord.added.push_back(tone.degree);
        if (chord.intervals() == tones && sayable(chord))
            return chord;
    }
    return std::nullopt;
}

/// The chord on C that has exactly these tones, if a name can say it.
std::optional<ChordName> chord_with(std::vector<Interval> tones)
{
    std::ranges::sort(tones);
    auto const all = tones;
    ChordName chord;
    if (!take(tones, {1, 0}))
        return std::nullopt;
    chord.third = take_third(tones);
    chord.seventh = take_seventh(tones);
    bool const altered_fifth =
        std::ranges::any_of(tones, [](Interval tone) { return tone.degree == 5 && tone.alter != 0; });
    if (!take(tones, {5, 0}) && !altered_fifth)
        chord.omitted.push_back(5);
    std::ranges::copy_if(tones, std::back_inserter(chord.altered), [](Interval tone) { return tone.alter != 0; });
    std::erase_if(tones, [](Interval tone) { return tone.alter != 0; });
    if (chord.seventh != Seventh::none) {
        if (chord.third == Third::none) { // a seventh chord says "no3", not "5"
            chord.third = Third::major;
            chord.omitted.insert(chord.omitted.begin(), 3);
        }
        return with_number(std::move(chord), all);
    }
    bool const alters_nine = std::ranges::find(chord.altered, 9, &Interval::degree) != chord.altered.end();
    if (take(tones, {6, 0}))
        chord.number = !alters_nine && take(tones, {9, 0}) ? ChordName::kSixNine : 6;
    for (auto const tone : tones)
        chord.added.push_back(tone.degree);
    return chord.intervals() == all && sayable(chord) ? std::optional{chord} : std::nullopt;
}

} // namespace

Kind kind_of(ChordName const& chord)
{
    if (chord.no_chord)
        return {"none", {}};
    auto const plain = on_c(chord);
    Kind best{"other", {}};
    std::size_t fewest = 100;
    for (auto const& [kind, base] : kinds()) {
        if (base.no_chord)
            continue;
        auto degrees = degrees_between(base.intervals(), plain.intervals());
        // A third is never altered into another: "minor" says that better.
        bool const odd = std::ranges::any_of(
            degrees, [](Degree const& degree) { return degree.value < 5 && degree.type == Degree::Type::alter; });
        if (!odd && degrees.size() < fewest) {
            fewest = degrees.size();
            best = {kind, std::move(degrees)};
        }
    }
    return best;
}

std::optional<ChordName> chord_of(std::string_view kind, std::vector<Degree> const& degrees)
{
    auto const known = std::ranges::find(kinds(), kind, [](auto const& entry) { return entry.first; });
    if (known == kinds().end())
        return std::nullopt;
    if (known->second.no_chord || degrees.empty())
        return known->second;
    auto tones = known->second.intervals();
    for (auto const& degree : degrees)
        if (!apply(degree, tones))
            return std::nullopt;
    return chord_with(std::move(tones));
}

} // namespace tabard::overlay
