#include "overlay/music/shape_search.h"

#include "overlay/music/fingering.h"

#include <algorithm>
#include <functional>
#include <numeric>
#include <set>

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

constexpr int kWindow = 4;       // frets a hand covers in one position
constexpr int kHighestBase = 12; // the octave repeats above it
constexpr int kLowNote = 52;     // E3: two notes close together below it sound muddy

/// What a chord asks of a set of sounding notes, as bit sets of pitch classes.
struct Wanted {
    unsigned allowed = 0;
    unsigned essential = 0;
    unsigned fifth = 0;
    int lowest = 0;
};

Wanted wanted_of(ChordName const& chord)
{
    Wanted wanted;
    for (auto const interval : chord.intervals()) {
        auto const bit = 1u << chord.root.up(interval).pitch_class();
        wanted.allowed |= bit;
        if (!chord.optional(interval))
            wanted.essential |= bit;
        else if (interval.degree == 5)
            wanted.fifth |= bit;
    }
    wanted.lowest = chord.lowest().pitch_class();
    wanted.allowed |= 1u << wanted.lowest;
    wanted.essential |= 1u << wanted.lowest;
    return wanted;
}

/// Tries every choice of muted, open and fretted strings in one position of the hand.
class Position {
public:
    Position(Wanted const& wanted, Tuning const& tuning, int base) : m_wanted(wanted), m_tuning(tuning), m_base(base) {}

    std::vector<std::vector<int>> all()
    {
        choose(0);
        return std::move(m_found);
    }

private:
    bool allowed(std::size_t string, int fret) const
    {
        return (m_wanted.allowed >> mod(m_tuning.open_strings[string] + fret, 12) & 1u) != 0;
    }

    void choose(std::size_t string)
    {
        if (string == m_tuning.open_strings.size()) {
            keep_if_complete();
            return;
        }
        auto const with = [&](int fret) {
            m_frets.push_back(fret);
            choose(string + 1);
            m_frets.pop_back();
        };
        with(kMuted);
        if (allowed(string, 0))
            with(0);
        for (int fret = m_base; fret < m_base + kWindow; ++fret)
            if (allowed(string, fret))
                with(fret);
    }

    void keep_if_complete()
    {
        unsigned sounding = 0;
        int lowest = 1000;
        bool touches_base = false;
        bool any_fretted = false;
        for (std::size_t i = 0; i < m_frets.size(); ++i) {
            if (m_frets[i] == kMuted)
                continue;
            int const midi = m_tuning.open_strings[i] + m_frets[i];
            sounding |= 1u << mod(midi, 12);
            lowest = std::min(lowest, midi);
            touches_base = touches_base || m_frets[i] == m_base;
            any_fretted = any_fretted || m_frets[i] > 0;
        }
        // A shape belongs to the position of its lowest fret; the one without any belongs to the first.
        bool const here = any_fretted ? touches_base : m_base == 1;
        bool const low_enough = m_tuning.strings() <= 4 || mod(lowest, 12) == m_wanted.lowest;
        if (here && low_enough && (sounding & m_wanted.essential) == m_wanted.essential)
            m_found.push_back(m_frets);
    }

    Wanted const& m_wanted;
    Tuning const& m_tuning;
    int m_base;
    std::vector<int> m_frets;
    std::vector<std::vector<int>> m_found;
};

/// What makes a shape hard or unusual.
struct Features {
    int fingers = 0;
    int barre = 0;  // strings under the widest barre
    int lowest = 0; // lowest fret held, 0 for none
    int span = 0;   // frets from the lowest to the highest held
    int open = 0;
    int sounding = 0;
    int muted_inside = 0;
    int muted_above = 0;
    int unisons = 0; // neighbours that sound the same note
    bool close_bass = false;
    bool has_fifth = false;
};

Features features_of(Shape const& shape, Tuning const& tuning, Wanted const& wanted)
{
    Features f;
    std::set<int> fingers(shape.fingers.begin(), shape.fingers.end());
    fingers.erase(kNoFinger);
    f.fingers = static_cast<int>(fingers.size());
    for (auto const& barre : shape.barres())
        f.barre = std::max(f.barre, barre.last_string - barre.first_string + 1);
    int muted = 0;
    int last = -1; // the note of the sounding string before
    for (std::size_t i = 0; i < shape.frets.size(); ++i) {
        int const fret = shape.frets[i];
        if (fret == kMuted) {
            ++muted;
            continue;
        }
        f.muted_inside += f.sounding > 0 ? muted : 0;
        muted = 0;
        ++f.sounding;
        int const note = tuning.open_strings[i] + fret;
        f.unisons += note == last ? 1 : 0;
        f.close_bass = f.close_bass || (f.sounding == 2 && note - last < 5 && last < kLowNote);
        last = note;
        f.open += fret == 0 ? 1 : 0;
        f.has_fifth = f.has_fifth || (wanted.fifth >> mod(note, 12) & 1u) != 0;
        if (fret > 0) {
            f.span = std::max(f.span, fret);
            f.lowest = f.lowest == 0 ? fret : std::min(f.lowest, fret);
        }
    }
    f.muted_above = muted;
    f.span -= f.lowest;
    return f;
}

double cost_of(Features const& f, bool fifth_missing)
{
    double cost = f.fingers + 0.3 * f.lowest - 0.8 * f.sounding;
    cost += f.barre >= 5 ? 1.5 : f.barre >= 2 ? 0.5 : 0.0;
    cost += f.span >= 3 ? 3.0 * (f.span - 2) : 0.0;
    cost += 3.0 * f.muted_inside + 1.2 * f.muted_above + (f.sounding < 4 ? 4.0 : 0.0);
    cost += f.lowest > 4 ? 2.5 * f.open : f.lowest > 2 ? 1.0 * f.open : 0.0;
    cost += f.barre >= 3 && f.open > 0 ? 1.5 : 0.0;
    cost += 1.5 * f.unisons + (f.close_bass ? 0.7 : 0.0) + (fifth_missing ? 1.0 : 0.0);
    return cost;
}

/// How many strings differ between two shapes.
std::ptrdiff_t differences(Shape const& a, Shape const& b)
{
    return std::inner_product(a.frets.begin(), a.frets.end(), b.frets.begin(), std::ptrdiff_t{0}, std::plus<>(),
                              std::not_equal_to<>());
}

/// Whether `other` is `shape` with more strings muted.
bool holds_less(Shape const& other, Shape const& shape)
{
    for (std::size_t i = 0; i < shape.frets.size(); ++i)
        if (other.frets[i] != kMuted && other.frets[i] != shape.frets[i])
            return false;
    return true;
}

/// The best of a list sorted by cost, where each next one is punished for being almost one that is taken already.
std::vector<FoundShape> varied(std::vector<FoundShape> sorted, std::size_t most)
{
    constexpr std::size_t kLookedAt = 200;
    constexpr double kAlikeCost = 1.0;
    sorted.resize(std::min(sorted.size(), kLookedAt));
    std::vector<FoundShape> taken;
    while (taken.size() < most && !sorted.empty()) {
        auto const best = std::ranges::min_element(sorted, {}, &FoundShape::cost);
        taken.push_back(std::move(*best));
        sorted.erase(best);
        auto const& shape = taken.back().shape;
        std::erase_if(sorted, [&](FoundShape const& one) { return holds_less(one.shape, shape); });
        for (auto& one : sorted)
            if (differences(one.shape, shape) == 1)
                one.cost += kAlikeCost;
    }
    return taken;
}

std::string reason_of(Features const& f)
{
    auto const place = f.lowest + f.span <= 4 && f.open > 0 ? std::string("open position")
                       : f.lowest <= 1                      ? std::string("first position")
                                                            : fmt::format("at fret {}", f.lowest);
    auto const barre = f.barre >= 2 ? ", barre" : "";
    return fmt::format("{}, {} finger{}{}", place, f.fingers, f.fingers == 1 ? "" : "s", barre);
}

} // namespace

std::vector<FoundShape> find_shapes(ChordName const& chord, Tuning const& tuning, std::size_t most)
{
    std::vector<FoundShape> found;
    if (chord.no_chord)
        return found;
    auto const wanted = wanted_of(chord);
    for (int base = 1; base <= kHighestBase; ++base)
        for (auto& frets : Position(wanted, tuning, base).all()) {
            Shape shape{std::move(frets), {}};
            shape.fingers = assign_fingers(shape.frets);
            if (shape.fingers.empty())
                continue;
            auto const features = features_of(shape, tuning, wanted);
            if (features.muted_inside > 1)
                continue;
            found.push_back({shape, cost_of(features, wanted.fifth != 0 && !features.has_fifth), reason_of(features)});
        }
    std::ranges::stable_sort(found, {}, &FoundShape::cost);
    return varied(std::move(found), most);
}

std::optional<Shape> default_shape(ChordName const& chord, Tuning const& tuning)
{
    auto const found = find_shapes(chord, tuning, 1);
    return found.empty() ? std::nullopt : std::optional{found.front().shape};
}

} // namespace tabard::overlay
