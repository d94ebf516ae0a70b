#include "tests/support/performance/invented_chords.h"

#include <algorithm>
#include <utility>

namespace tabard::tests {

namespace {

/// The everyday shapes, frets from the lowest string; the tones are worked out from them. (Common practice.)
struct KnownShape {
    int root;
    std::string_view frets;
    std::string_view name;
};
constexpr std::array kShapes{
    KnownShape{0, "x32010", "C"},   KnownShape{7, "320003", "G"},     KnownShape{9, "x02210", "Am"},
    KnownShape{4, "022000", "Em"},  KnownShape{2, "xx0232", "D"},     KnownShape{5, "133211", "F"},
    KnownShape{2, "xx0231", "Dm"},  KnownShape{4, "022100", "E"},     KnownShape{9, "x02220", "A"},
    KnownShape{11, "x24432", "Bm"}, KnownShape{7, "x20003", "G/B"},   KnownShape{2, "200232", "D/F#"},
    KnownShape{9, "x02010", "Am7"}, KnownShape{5, "xx3210", "Fmaj7"}, KnownShape{0, "x32030", "Cadd9"},
    KnownShape{9, "x02020", "A7"},  KnownShape{2, "xx0212", "D7"},    KnownShape{4, "020100", "E7"},
    KnownShape{11, "x21202", "B7"}, KnownShape{4, "022030", "Em7"},   KnownShape{10, "x13331", "Bb"},
    KnownShape{6, "244222", "F#m"},
};

} // namespace

std::vector<ShapeNote> notes_of_shape(int shape)
{
    std::vector<ShapeNote> notes;
    auto const frets = kShapes[static_cast<std::size_t>(shape)].frets;
    for (int string = 0; string < 6; ++string)
        if (char const fret = frets[static_cast<std::size_t>(string)]; fret != 'x')
            notes.push_back({string, kOpenStrings[static_cast<std::size_t>(string)] + fret - '0'});
    return notes;
}

std::string_view name_of_shape(int shape) { return kShapes[static_cast<std::size_t>(shape)].name; }

pipeline::HeardChord heard_shape(int shape)
{
    int const root = kShapes[static_cast<std::size_t>(shape)].root;
    auto const notes = notes_of_shape(shape);
    std::vector<int> tones;
    for (ShapeNote const& note : notes)
        tones.push_back(note.midi % 12);
    // root, third, fifth, then what is added
    auto const rank = [root](int tone) {
        static constexpr std::array<int, 12> kRank{0, 9, 5, 1, 1, 3, 4, 4, 4, 6, 6, 6};
        return kRank[static_cast<std::size_t>((tone - root + 12) % 12)];
    };
    std::ranges::sort(tones, [&](int a, int b) { return std::pair(rank(a), a) < std::pair(rank(b), b); });
    tones.erase(std::unique(tones.begin(), tones.end()), tones.end());
    return {tones, notes.front().midi % 12};
}

} // namespace tabard::tests
