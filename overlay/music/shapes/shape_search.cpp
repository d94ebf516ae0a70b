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
    constexpr double kAlikeCost = 0.5;
    constexpr double kSamePlaceCost = 1.2;
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

std::vector<FoundShape> find_shapes(ChordName const& chord, Tuning const& tuning, std::size_t most, int capo)
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
    return varied(std::move(found), most);
}

std::optional<Shape> default_shape(ChordName const& chord, Tuning const& tuning)
{
    auto const found = find_shapes(chord, tuning, 1);
    return found.empty() ? std::nullopt : std::optional{found.front().shape};
}

} // namespace tabard::overlay
