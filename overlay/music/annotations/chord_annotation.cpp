#include "overlay/music/annotations/chord_annotation.h"

#include "overlay/music/annotations/nameable_chord.h"

#include <algorithm>
#include <array>
#include <vector>

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

struct Shorthand {
    std::string_view word;
    std::vector<Interval> degrees; ///< besides the root
};

/// Harte et al. 2005, table 1, up to "sus4"; those below are used by collections published since.
std::vector<Shorthand> const& shorthands()
{
    constexpr Interval k2{2, 0}, k3{3, 0}, kMinor3{3, -1}, k4{4, 0}, k5{5, 0}, kFlat5{5, -1}, kSharp5{5, 1}, k6{6, 0},
        k7{7, 0}, kMinor7{7, -1}, kDiminished7{7, -2}, k9{9, 0}, k11{11, 0}, k13{13, 0};
    static std::vector<Shorthand> const words{
        {"maj", {k3, k5}},
        {"min", {kMinor3, k5}},
        {"dim", {kMinor3, kFlat5}},
        {"aug", {k3, kSharp5}},
        {"maj7", {k3, k5, k7}},
        {"min7", {kMinor3, k5, kMinor7}},
        {"7", {k3, k5, kMinor7}},
        {"dim7", {kMinor3, kFlat5, kDiminished7}},
        {"hdim7", {kMinor3, kFlat5, kMinor7}},
        {"minmaj7", {kMinor3, k5, k7}},
        {"maj6", {k3, k5, k6}},
        {"min6", {kMinor3, k5, k6}},
        {"9", {k3, k5, kMinor7, k9}},
        {"maj9", {k3, k5, k7, k9}},
        {"min9", {kMinor3, k5, kMinor7, k9}},
        {"sus4", {k4, k5}},
        {"sus2", {k2, k5}},
        {"hdim", {kMinor3, kFlat5, kMinor7}},
        {"6", {k3, k5, k6}},
        {"5", {k5}},
        {"1", {}},
        {"aug7", {k3, kSharp5, kMinor7}},
        {"minmaj9", {kMinor3, k5, k7, k9}},
        {"11", {k3, k5, kMinor7, k9, k11}},
        {"maj11", {k3, k5, k7, k9, k11}},
        {"min11", {kMinor3, k5, kMinor7, k9, k11}},
        {"13", {k3, k5, kMinor7, k9, k11, k13}},
        {"maj13", {k3, k5, k7, k9, k11, k13}},
        {"min13", {kMinor3, k5, kMinor7, k9, k11, k13}},
    };
    return words;
}

bool is_digit(char sign) { return sign >= '0' && sign <= '9'; }

/// Takes a label apart from its front. What is left where something fails is where the mistake is.
class LabelReader {
public:
    explicit LabelReader(std::string_view label) : m_label(label), m_rest(label) {}

    tl::expected<ChordAnnotation, AnnotationMistake> read()
    {
        auto const root = take_note(m_rest);
        if (!root)
            return mistake("a label begins with a note, as in A:min7, or is N or X");
        m_tones[0] = true;
        if (take(':')) {
            if (auto const wrong = take_quality())
                return mistake(*wrong);
        } else {
            add({{3, 0}, {5, 0}});
        }
        std::optional<Interval> bass;
        if (take('/')) {
            bass = take_degree();
            if (!bass)
                return mistake("the bass is a degree, as in C:maj/3 or C/b7");
        }
        if (!m_rest.empty())
            return mistake(fmt::format("'{}' is not understood here; a label is root:quality(degrees)/degree", m_rest));
        return annotation(*root, bass);
    }

private:
    tl::unexpected<AnnotationMistake> mistake(std::string what) const
    {
        return tl::unexpected(AnnotationMistake{m_label.size() - m_rest.size(), std::move(what)});
    }
    bool take(char sign)
    {
        if (!m_rest.starts_with(sign))
            return false;
        m_rest.remove_prefix(1);
        return true;
    }
    void add(std::vector<Interval> const& degrees)
    {
        for (Interval const degree : degrees)
            tone(degree) = true;
    }
    bool& tone(Interval interval) { return m_tones[static_cast<std::size_t>(interval.pitch_class())]; }

    /// What is wrong, or nothing.
    std::optional<std::string> take_quality()
    {
        std::string_view const word = m_rest.substr(0, m_rest.find_first_of("(/"));
        if (!word.empty()) {
            auto const known = std::ranges::find(shorthands(), word, &Shorthand::word);
            if (known == shorthands().end())
                return fmt::format("'{}' is no quality of a chord; write one as maj, min7, sus4, 9 or hdim7", word);
            add(known->degrees);
            m_rest.remove_prefix(word.size());
        }
        if (!take('('))
            return word.empty() ? std::optional<std::string>("a quality is missing after the colon; write C or C:maj")
                                : std::nullopt;
        do {
            bool const left_out = take('*');
            auto const degree = take_degree();
            if (!degree)
                return "a degree from 1 to 13 is missing; write them as (b7,9,*5)";
            tone(*degree) = !left_out;
        } while (take(','));
        return take(')') ? std::nullopt : std::optional<std::string>("a closing bracket is missing");
    }

    /// [b|#]* and 1 to 13.
    std::optional<Interval> take_degree()
    {
        std::string_view const before = m_rest;
        Interval interval{0, 0};
        constexpr int kMostAccidentals = 2;
        for (; m_rest.starts_with('b') || m_rest.starts_with('#'); m_rest.remove_prefix(1))
            interval.alter += m_rest.front() == '#' ? 1 : -1;
        for (; !m_rest.empty() && is_digit(m_rest.front()) && interval.degree < 100; m_rest.remove_prefix(1))
            interval.degree = 10 * interval.degree + (m_rest.front() - '0');
        if (interval.degree >= 1 && interval.degree <= 13 && std::abs(interval.alter) <= kMostAccidentals)
            return interval;
        m_rest = before;
        return std::nullopt;
    }

    ChordAnnotation annotation(NoteName root, std::optional<Interval> bass) const
    {
        ChordAnnotation annotation;
        auto named = named_by_tones(m_tones);
        annotation.exact = named.has_value();
        ChordName chord = named ? *named : nearest_by_tones(m_tones);
        chord.root = root;
        if (bass && bass->pitch_class() != 0)
            chord.bass = root.up({(bass->degree - 1) % 7 + 1, bass->alter});
        if (!reads_as_itself(chord)) {
            // More accidentals than a name may have: the same sound with fewer.
            chord.root = chord.root.simplified();
            if (chord.bass)
                chord.bass = chord.bass->simplified();
        }
        annotation.chord = chord;
        if (!annotation.exact)
            for (std::size_t half_steps = 0; half_steps < m_tones.size(); ++half_steps)
                if (m_tones[half_steps])
                    annotation.notes += (annotation.notes.empty() ? "" : " ") +
                                        note_of(root.pitch_class() + static_cast<int>(half_steps),
                                                root.alter > 0 ? Accidentals::sharps : Accidentals::flats)
                                            .text();
        return annotation;
    }
    static bool reads_as_itself(ChordName const& chord)
    {
        auto const read = ChordName::parse(chord.text());
        return read && *read == chord;
    }

    std::string_view m_label;
    std::string_view m_rest;
    Tones m_tones{};
};

/// "Bbm7", "A/G": what has no colon, and more than a root and a degree of the bass.
bool is_ordinary_name(std::string_view label)
{
    auto const root = take_note(label);
    return root && !label.empty() && label.find(':') == std::string_view::npos &&
           !(label.starts_with('/') && label.find_first_of("0123456789") != std::string_view::npos);
}

} // namespace

tl::expected<ChordAnnotation, AnnotationMistake> parse_chord_annotation(std::string_view label)
{
    using Kind = ChordAnnotation::Kind;
    constexpr std::size_t kLongestLabel = 200;
    if (label.size() > kLongestLabel)
        return tl::unexpected(AnnotationMistake{0, "no label is that long"});
    if (label == "N" || label == "NC" || label == "N.C.")
        return ChordAnnotation{Kind::none};
    if (label == "X")
        return ChordAnnotation{Kind::unknown};
    auto read = LabelReader{label}.read();
    if (!read && is_ordinary_name(label))
        if (auto const chord = ChordName::parse(label); chord && !chord->no_chord)
            return ChordAnnotation{Kind::chord, *chord};
    return read;
}

} // namespace tabard::overlay
