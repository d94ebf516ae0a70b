#include "overlay/music/shapes/shape_ranking.h"

#include <algorithm>
#include <bit>
#include <set>
#include <utility>

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

unsigned bit_of(int midi) { return 1u << mod(midi, 12); }

/// How badly two low notes blur that lie `apart` half-steps apart.
double muddiness(int lower, int apart)
{
    constexpr int kLow = 52; // E3
    constexpr int kVeryLow = 45;
    if (lower >= kLow || apart > 4)
        return 0;
    return apart < 3 ? 2.1 : apart == 3 && lower < kVeryLow ? 2.5 : 0.3;
}

/// Whether an open string lies between two strings held at `fret`.
bool has_open_between(std::vector<int> const& frets, int fret)
{
    auto const first = std::ranges::find(frets, fret);
    auto const last = std::find(frets.rbegin(), frets.rend(), fret).base();
    return first < last && std::find(first, last, 0) != last;
}

/// What is heard: notes, how they lie, which strings are silent.
void add_sound(Features& f, Shape const& shape, Tuning const& tuning)
{
    int muted = 0;
    int last = 0; // the note of the sounding string before
    for (std::size_t i = 0; i < shape.frets.size(); ++i) {
        if (shape.frets[i] == kMuted) {
            ++muted;
            continue;
        }
        (f.sounding > 0 ? f.muted_inside : f.muted_below) += std::exchange(muted, 0);
        int const note = *tuning.pitch(i, shape.frets[i]);
        ++f.sounding;
        if (f.sounding == 2) {
            f.muddy_bass = muddiness(last, note - last);
            f.stacked = note - last == 7 || note - last == 12;
        }
        f.unisons += f.sounding > 1 && note == last ? 1 : 0;
        f.open += shape.frets[i] == 0 ? 1 : 0;
        f.pitch_classes |= bit_of(note);
        last = note;
    }
    f.muted_above = muted;
}

/// What the hand does.
void add_hand(Features& f, Shape const& shape)
{
    std::set<int> fingers(shape.fingers.begin(), shape.fingers.end());
    fingers.erase(kNoFinger);
    f.fingers = static_cast<int>(fingers.size());
    f.little_finger = fingers.contains(4);
    for (auto const& barre : shape.barres()) {
        int const width = barre.last_string - barre.first_string + 1;
        if (width > f.barre) {
            f.barre = width;
            f.index_barre = barre.finger == 1;
        }
    }
    int highest = 0;
    int held = 0;
    for (int const fret : shape.frets)
        if (fret > 0) {
            ++held;
            highest = std::max(highest, fret);
            f.lowest = f.lowest == 0 ? fret : std::min(f.lowest, fret);
        }
    f.span = highest - f.lowest;
    f.blocked_barre = f.span > 0 && held >= 4 && has_open_between(shape.frets, f.lowest);
}

double hand_cost(Features const& f, Wanted const& wanted)
{
    double cost = 0.5 * f.fingers + (f.little_finger ? 0.5 : 0.0) + 0.6 * f.lowest;
    cost += f.barre >= 5 ? 1.0 : f.barre >= 2 ? 0.4 : 0.0;
    cost += f.barre >= 4 && !f.index_barre ? 1.5 : 0.0;
    cost += f.span >= 3 ? (wanted.few_strings ? 0.9 : 1.6) * (f.span - 2) : 0.0; // the small neck of four strings
    cost += f.blocked_barre && !wanted.bass_is_named ? 3.0 : 0.0;                // a named bass may be the thumb's
    // Open strings are a gift at the nut and in the way further up, or beside a barre.
    int const highest = f.lowest + f.span;
    if (highest <= kWindow)
        cost -= 0.1 * f.open + (f.open > 0 && highest < kWindow ? (wanted.few_strings ? 1.0 : 1.4) : 0.0);
    else
        cost += (f.lowest > 4 ? 2.5 : f.lowest > 2 ? 1.9 : 0.0) * f.open;
    cost += f.barre >= 3 && f.open > 0 ? 2.2 : 0.0;
    return cost;
}

double sound_cost(Features const& f, Wanted const& wanted)
{
    bool const fifth_missing = wanted.fifth != 0 && (f.pitch_classes & wanted.fifth) == 0;
    double cost = 3.0 * f.unisons - (f.stacked ? 1.4 : 0.0) + 5.0 * f.muted_inside;
    cost += !fifth_missing ? 0.0 : wanted.few_strings ? 2.2 : 1.0;
    if (wanted.two_tones) // root, fifth and octave on low strings are what a power chord is
        return cost - 2.4 * std::min(f.sounding, 3) + 0.1 * std::max(f.sounding - 3, 0) + 1.2 * f.muted_below;
    cost += 1.6 * f.muted_above + (f.sounding < 4 ? 6.0 : 0.0) - 0.7 * f.sounding;
    cost += f.muted_above > 0 && f.muted_below > 0 && !wanted.few_strings ? 0.8 : 0.0;
    return cost + (wanted.bass_is_named ? 1.0 * f.muted_below : f.muddy_bass);
}

} // namespace

Wanted::Wanted(ChordName const& chord, Tuning const& tuning)
{
    bool const third_clashes = chord.number == 13 && chord.third == ChordName::Third::major;
    for (auto const interval : chord.intervals()) {
        if (third_clashes && interval == Interval{11, 0}) // players leave the 11 out below a 13
            continue;
        auto const bit = bit_of(chord.root.up(interval).pitch_class());
        m_allowed |= bit;
        if (!chord.optional(interval))
            m_essential |= bit;
        else if (interval.degree == 5)
            fifth |= bit;
        if (interval == Interval{3, 0})
            m_third = bit;
        if (interval == Interval{9, 1})
            m_sharp_nine = bit;
    }
    two_tones = std::popcount(m_allowed) == 2;
    m_fewest = two_tones ? 2 : 3;
    bass_is_named = chord.bass.has_value();
    m_lowest = chord.lowest().pitch_class();
    m_allowed |= bit_of(m_lowest);
    m_essential |= bit_of(m_lowest);
    // Four strings, or strings out of order, cannot be asked to begin on the root.
    few_strings = tuning.strings() <= 4;
    m_any_bass = !bass_is_named && (few_strings || !tuning.rises());
}

bool Wanted::allows(int midi) const { return (m_allowed & bit_of(midi)) != 0; }

bool Wanted::met_by(std::vector<int> const& midi) const
{
    if (midi.size() < m_fewest)
        return false;
    unsigned sounding = 0;
    for (int const note : midi) {
        // A sharp ninth sounds like a wrong third unless the major third lies below it (common practice).
        if ((bit_of(note) & m_sharp_nine) != 0 && m_third != 0 && (sounding & m_third) == 0)
            return false;
        sounding |= bit_of(note);
    }
    bool const bass = m_any_bass || mod(std::ranges::min(midi), 12) == m_lowest;
    return bass && (sounding & m_essential) == m_essential;
}

Features features_of(Shape const& shape, Tuning const& tuning)
{
    Features f;
    add_sound(f, shape, tuning);
    add_hand(f, shape);
    return f;
}

double cost_of(Features const& features, Wanted const& wanted)
{
    // The weights above are as they were fitted; a finger more, the little one, costs what other choices allow for it.
    constexpr double kScale = 1.45;
    return kScale * (hand_cost(features, wanted) + sound_cost(features, wanted));
}

std::string reason_of(Features const& f)
{
    if (f.fingers == 0)
        return "open strings alone";
    auto const place = f.lowest + f.span <= kWindow && f.open > 0 ? std::string("open position")
                       : f.lowest <= 1                            ? std::string("first position")
                                                                  : fmt::format("fret {}", f.lowest);
    return fmt::format("{}, {} finger{}{}", place, f.fingers, f.fingers == 1 ? "" : "s", f.barre >= 2 ? ", barre" : "");
}

} // namespace tabard::overlay
