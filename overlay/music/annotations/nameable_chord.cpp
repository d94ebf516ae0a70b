#include "overlay/music/annotations/nameable_chord.h"

#include <algorithm>

namespace tabard::overlay {
namespace {

using Third = ChordName::Third;
using Seventh = ChordName::Seventh;

/// Takes the tones off one by one and builds the name that accounts for them.
class Namer {
public:
    explicit Namer(Tones const& tones) : m_left(tones) {}

    ChordName name()
    {
        m_left[0] = false;
        if (take(7))
            m_fifth = true;
        if (is_only_fifth()) {
            m_chord.third = Third::none;
            return m_chord;
        }
        take_third();
        take_seventh();
        take_natural_tones();
        take_altered_tones();
        if (m_third_missing)
            m_chord.omitted.push_back(3);
        if (!m_fifth)
            m_chord.omitted.push_back(5);
        std::ranges::sort(m_chord.altered);
        std::ranges::sort(m_chord.added);
        return m_chord;
    }

private:
    bool take(std::size_t tone) { return std::exchange(m_left[tone], false); }
    bool is_only_fifth() const { return m_fifth && std::ranges::none_of(m_left, std::identity{}); }
    bool is_diminished() const { return m_chord.third == Third::minor && m_left[6] && !m_fifth; }

    void take_third()
    {
        if (take(4))
            m_chord.third = Third::major;
        else if (take(3))
            m_chord.third = Third::minor;
        else if (bool const seventh = m_left[10] || m_left[11]; take(5))
            m_chord.third = !seventh && take(2) ? Third::second_and_fourth : Third::fourth;
        else if (take(2))
            m_chord.third = Third::second;
        else
            m_third_missing = true;
    }
    void take_seventh()
    {
        if (take(10))
            m_chord.seventh = Seventh::minor;
        else if (take(11))
            m_chord.seventh = Seventh::major;
        else if (is_diminished() && take(9))
            m_chord.seventh = Seventh::diminished;
        if (m_chord.seventh != Seventh::none)
            m_chord.number = 7;
    }
    void take_natural_tones()
    {
        bool const seventh = m_chord.number == 7;
        bool const fourth = m_left[5] || m_chord.third == Third::fourth;
        if (seventh && m_left[2] && !m_left[1] && !(m_left[3])) {
            take(2);
            m_chord.number = 9;
            if (m_left[9] && fourth && !m_left[6] && !m_left[8]) {
                m_chord.number = 13;
                take(9);
                take(5);
            } else if (take(5)) {
                m_chord.number = 11;
            }
        }
        if (!seventh && take(9))
            m_chord.number = take(2) ? ChordName::kSixNine : 6;
        for (auto const& [tone, degree] : {std::pair{2, 9}, std::pair{5, 11}, std::pair{9, 13}})
            if (take(std::size_t(tone)))
                m_chord.added.push_back(degree);
    }
    void take_altered_tones()
    {
        for (auto const& [tone, fifth, other] :
             {std::tuple{6, Interval{5, -1}, Interval{11, 1}}, std::tuple{8, Interval{5, 1}, Interval{13, -1}}})
            if (take(std::size_t(tone))) {
                m_chord.altered.push_back(has_perfect_fifth() ? other : fifth);
                m_altered_fifth = m_altered_fifth || !has_perfect_fifth();
            }
        m_fifth = m_fifth || m_altered_fifth;
        if (take(1))
            m_chord.altered.push_back({9, -1});
        if (take(3))
            m_chord.altered.push_back({9, 1});
    }
    bool has_perfect_fifth() const { return m_fifth && !m_altered_fifth; }

    Tones m_left;
    ChordName m_chord;
    bool m_fifth = false;
    bool m_altered_fifth = false;
    bool m_third_missing = false;
};

} // namespace

Tones tones_of(ChordName const& chord)
{
    Tones tones{};
    for (Interval const interval : chord.intervals())
        tones[static_cast<std::size_t>(interval.pitch_class())] = true;
    return tones;
}

std::optional<ChordName> named_by_tones(Tones const& tones)
{
    if (!tones[0])
        return std::nullopt;
    ChordName const chord = Namer{tones}.name();
    auto const read = ChordName::parse(chord.text());
    if (tones_of(chord) != tones || !read || *read != chord)
        return std::nullopt;
    return chord;
}

ChordName nearest_by_tones(Tones tones)
{
    tones[0] = true;
    constexpr std::array<std::size_t, 11> kFirstToGo{1, 8, 6, 9, 5, 2, 11, 10, 3, 4, 7};
    auto const chord_without = [&](std::size_t tone) {
        Tones fewer = tones;
        fewer[tone] = false;
        return named_by_tones(fewer);
    };
    if (auto const chord = named_by_tones(tones))
        return *chord;
    for (std::size_t const tone : kFirstToGo)
        if (tones[tone])
            if (auto const chord = chord_without(tone))
                return *chord;
    for (std::size_t const tone : kFirstToGo) {
        tones[tone] = false;
        if (auto const chord = named_by_tones(tones))
            return *chord;
    }
    return named_by_tones({true, false, false, false, false, false, false, true}).value_or(ChordName{});
}

} // namespace tabard::overlay
