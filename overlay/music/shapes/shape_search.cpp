#include "overlay/music/shapes/shape_search.h"

#include "overlay/music/shapes/fingering.h"
#include "overlay/music/shapes/shape_ranking.h"

#include <algorithm>
#include <functional>
#include <numeric>
#include <utility>

namespace tabard::overlay {
namespace {

constexpr int kHighestBase = 12; // the octave repeats above it

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
        auto const note = m_tuning.pitch(string, fret);
        return note && m_wanted.allows(*note);
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
        // A shape belongs to the position of its lowest fret; the one without any belongs to the first.
        int lowest_fret = 0;
        std::vector<int> notes;
        for (std::size_t i = 0; i < m_frets.size(); ++i) {
            if (m_frets[i] == kMuted)
                continue;
            notes.push_back(*m_tuning.pitch(i, m_frets[i]));
            if (m_frets[i] > 0)
                lowest_fret = lowest_fret == 0 ? m_frets[i] : std::min(lowest_fret, m_frets[i]);
        }
        if (std::max(lowest_fret, 1) == m_base && m_wanted.met_by(notes))
            m_found.push_back(m_frets);
    }

    Wanted const& m_wanted;
    Tuning const& m_tuning;
    int m_base;
    std::vector<int> m_frets;
    std::vector<std::vector<int>> m_found;
};

int widest_barre(Shape const& shape)
{
    int widest = 0;
    for (auto const& barre : shape.barres())
        widest = std::max(widest, barre.last_string - barre.first_string + 1);
    return widest;
}

/// How many strings differ between two shapes.
std::ptrdiff_t differences(Shape const& a, Shape const& b)
{
    return std::inner_product(a.frets.begin(), a.frets.end(), b.frets.begin(), std::ptrdiff_t{0}, std::plus<>(),
                              std::not_equal_to<>());
}

/// Whether `other` is `shape` with more strings muted, and does not even spare the hand its barre.
bool is_less_of(Shape const& other, Shape const& shape)
{
    for (std::size_t i = 0; i < shape.frets.size(); ++i)
        if (other.frets[i] != kMuted && other.frets[i] != shape.frets[i])
            return false;
    return other.frets.back() == kMuted || widest_barre(other) > 3 || widest_barre(shape) < 5;
}

/// Lowest fret held and string of the bass: where on the neck a shape is at home.
std::pair<int, std::ptrdiff_t> place_of(Shape const& shape)
{
    int lowest = kHighestBase + kWindow;
    for (int const fret : shape.frets)
        if (fret > 0)
            lowest = std::min(lowest, fret);
    auto const bass = std::ranges::find_if(shape.frets, [](int fret) { return fret != kMuted; });
    return {lowest, bass - shape.frets.begin()};
}

/// The best of a list sorted by cost, where each next one is punished for being almost one that is taken already.
std::vector<FoundShape> varied(std::vector<FoundShape> sorted, std::size_t most)
{
    constexpr std::size_t kLookedAt = 200;
    constexpr double kAlikeCost = 0.7;
    constexpr double kSamePlaceCost = 2.4;
    sorted.resize(std::min(sorted.size(), kLookedAt));
    std::vector<FoundShape> taken;
    while (taken.size() < most && !sorted.empty()) {
        auto const best = std::ranges::min_element(sorted, {}, &FoundShape::cost);
        taken.push_back(std::move(*best));
        sorted.erase(best);
        auto const& shape = taken.back().shape;
        std::erase_if(sorted, [&](FoundShape const& one) { return is_less_of(one.shape, shape); });
        for (auto& one : sorted)
            one.cost += (differences(one.shape, shape) == 1 ? kAlikeCost : 0) +
                        (place_of(one.shape) == place_of(shape) ? kSamePlaceCost : 0);
    }
    return taken;
}

} // namespace

namespace {

/// Every shape that four fingers can hold, least cost first.
std::vector<FoundShape> all_by_cost(ChordName const& chord, Tuning const& tuning, int capo)
{
    std::vector<FoundShape> found;
    if (chord.no_chord)
        return found;
    Wanted const wanted(chord, tuning);
    for (int base = 1; base <= std::max(kHighestBase - capo, kWindow); ++base)
        for (auto& frets : Position(wanted, tuning, base).all()) {
            Shape shape{std::move(frets), {}};
            shape.fingers = assign_fingers(shape.frets);
            if (shape.fingers.empty())
                continue;
            auto const features = features_of(shape, tuning);
            if (features.muted_inside <= 1)
                found.push_back({shape, cost_of(features, wanted), reason_of(features)});
        }
    std::ranges::stable_sort(found, {}, &FoundShape::cost);
    return found;
}

constexpr std::size_t kMostFirstChoices = 5;
constexpr double kHardlyHarder = 2.5;   ///< a finger more, and the little one at that
constexpr double kLessUsual = 0.3;      ///< not the shape of every book
constexpr double kUnusualFingers = 1.0; ///< other fingers than most players set
constexpr double kTriadFingers = 1.5;   ///< the same where everybody knows them

/// Whether a player who knows the usual shape would think of this one as another form of it: as full, and with open
/// strings at the nut where that has them. So a barre takes the place of no open chord, nor a thin shape that of a full
/// one, however few fingers it would move.
bool is_alike(Features const& features, Features const& usual)
{
    bool const at_nut = features.lowest + features.span <= kWindow;
    return features.sounding >= usual.sounding && features.muted_inside <= usual.muted_inside &&
           features.muted_above <= usual.muted_above && (features.open > 0) == (usual.open > 0) &&
           (usual.open == 0 || (at_nut && features.barre <= usual.barre));
}

/// The root, a third and a fifth.
bool is_plain_triad(ChordName const& chord)
{
    auto const intervals = chord.intervals();
    return intervals.size() == 3 && std::ranges::count(intervals, 3, &Interval::degree) == 1;
}

/// Whether a shape of a plain triad has the third on a string where the usual one has another note: root and fifth are
/// what players double (common practice).
bool adds_third(Shape const& shape, Shape const& usual, ChordName const& chord, Tuning const& tuning)
{
    auto const intervals = chord.intervals();
    for (std::size_t i = 0; i < shape.frets.size(); ++i)
        if (auto const note = tuning.pitch(i, shape.frets[i]); note && shape.frets[i] != usual.frets[i])
            for (auto const interval : intervals)
                if (interval.degree == 3 && chord.root.up(interval).pitch_class() == mod(*note, 12))
                    return true;
    return false;
}

/// The same frets with the fingers above one of them each a finger higher, as far as there are: 1 3 4 for 1 2 3. None
/// where a finger lies over several strings.
std::vector<std::vector<int>> other_fingers(Shape const& shape)
{
    std::vector<std::vector<int>> others;
    auto fingers = shape.fingers;
    for (int finger = 4; finger >= 1; --finger) {
        auto const held = std::ranges::count(shape.fingers, finger);
        if (held > 1 || (held == 1 && finger == 4))
            return {};
        if (held == 0)
            continue;
        *std::ranges::find(fingers, finger) = finger + 1;
        others.push_back(fingers);
    }
    return others;
}

} // namespace

std::vector<FoundShape> find_shapes(ChordName const& chord, Tuning const& tuning, std::size_t most, int capo)
{
    return varied(all_by_cost(chord, tuning, capo), most);
}

std::vector<FoundShape> first_choices(ChordName const& chord, Tuning const& tuning, int capo)
{
    auto const all = all_by_cost(chord, tuning, capo);
    if (all.empty())
        return all;
    auto const usual = features_of(all.front().shape, tuning);
    std::vector<FoundShape> taken;
    for (auto const& found : all) {
        if (taken.size() == kMostFirstChoices || found.cost > all.front().cost + kHardlyHarder)
            break;
        if (taken.empty())
            taken.push_back(found);
        else if (is_alike(features_of(found.shape, tuning), usual) &&
                 !(usual.open > 0 && is_plain_triad(chord) &&
                   adds_third(found.shape, taken.front().shape, chord, tuning))) {
            taken.push_back(found);
            taken.back().cost += kLessUsual;
        }
    }
    std::vector<FoundShape> with_fingers = taken;
    double const unusual = is_plain_triad(chord) ? kTriadFingers : kUnusualFingers;
    Wanted const wanted(chord, tuning);
    for (auto const& one : taken)
        for (auto& fingers : other_fingers(one.shape)) {
            Shape shape{one.shape.frets, std::move(fingers)};
            auto const features = features_of(shape, tuning);
            with_fingers.push_back({std::move(shape), cost_of(features, wanted) + unusual, one.reason});
        }
    std::ranges::stable_sort(with_fingers, {}, &FoundShape::cost);
    return with_fingers;
}

std::optional<Shape> default_shape(ChordName const& chord, Tuning const& tuning)
{
    auto const found = find_shapes(chord, tuning, 1);
    return found.empty() ? std::nullopt : std::optional{found.front().shape};
}

} // namespace tabard::overlay
