#pragma once
#include "overlay/drawing/scene.h"

// Layers of an invented lesson that several tests draw.
namespace tabard::overlay::samples {

inline Shape const kC{{-1, 3, 2, 0, 1, 0}, {0, 3, 2, 0, 1, 0}};
inline Shape const kGOverB{{-1, 2, 0, 0, 0, 3}, {0, 2, 0, 0, 0, 3}};
inline Shape const kAm7{{-1, 0, 2, 0, 1, 0}, {0, 0, 2, 0, 1, 0}};
inline Shape const kFullF{{1, 3, 3, 2, 1, 1}, {1, 3, 4, 2, 1, 1}};
inline Shape const kFsharpM7Flat5{{-1, 9, 10, 9, 10, -1}, {0, 1, 3, 2, 4, 0}};

inline StrumStep stroke(StrumStep::Motion motion, char finger = '\0', bool accent = false, bool muted = false)
{
    return {motion, muted, accent, finger, {}};
}

inline StrumPattern rolling()
{
    using enum StrumStep::Motion;
    return {{stroke(down, 'p'), stroke(rest), stroke(down, '\0', false, true), stroke(up, 'i'), stroke(rest),
             stroke(up, 'i'), stroke(down, '\0', true), stroke(up)},
            0.5};
}

inline StrumPattern picking()
{
    StrumPattern pattern;
    for (Pluck const pluck : {Pluck{0, 'p'}, {3, 'i'}, {2, 'm'}, {3, 'i'}, {1, 'a'}, {3, 'i'}, {2, 'm'}, {3, 'i'}})
        pattern.steps.push_back({StrumStep::Motion::pluck, false, pattern.steps.empty(), '\0', {pluck}});
    pattern.steps[4].plucks.push_back({4, 'p'});
    return pattern;
}

inline BarRibbon ribbon(int current, int beat)
{
    ChordLabel const c{"C", "", ""};
    ChordLabel const g_over_b{"G", "", "B"};
    ChordLabel const f{"F", "maj7", ""};
    return {{{5, 4, false, {{c, 4}}},
             {6, 4, false, {{g_over_b, 4}}},
             {7, 4, false, {{f, 2}, {c, 2}}},
             {8, 4, true, {{f, 2}, {c, 2}}}},
            current,
            beat,
            16};
}

/// What is on screen while the chorus is played.
inline Scene playing()
{
    return {{{ChordCard{{"G", "", "B"}, kGOverB, {1}, {}}},
             {NextChordCard{{"Am", "7", ""}, kAm7, {}, {}, 3}},
             {CapoLine{4, "C", "E"}},
             {StrumLane{"rolling", rolling(), {}, 3, 5}},
             {BarRibbon{ribbon(1, 1)}}}};
}

/// Two fingers stay through the whole part, one more until the next chord.
inline Scene anchored()
{
    Shape const c_7{{-1, 3, 2, 3, 1, 0}, {0, 3, 2, 4, 1, 0}};
    return {{{ChordCard{{"C", "", ""}, kC, {1, 2, 4}, {2, 4}}},
             {NextChordCard{{"C", "7", ""}, c_7, {1, 2, 4}, {2, 4}, 2}},
             {SectionBanner{"Verse", "Keep fingers 1 and 2 on strings 2 and 4 (frets 1 and 2)"}}}};
}

/// Every kind of layer at once.
inline Scene everything()
{
    return {{{ChordCard{{"F\u266Fm", "7\u266D5", ""}, kFsharpM7Flat5, {2, 3}, {}}},
             {NextChordCard{{"B\u266D", "", "D"}, kFullF, {0}, {}, 2}},
             {CapoLine{4, "C", "E"}},
             {StrumLane{"picking", picking(), {}, 4, 5}},
             {BarRibbon{ribbon(2, 2)}},
             {SectionBanner{"Chorus, slowly", "Lantern on the Quay"}},
             {CountIn{3, 4}},
             {TextCard{"Keep the ring finger down: it is the same string and fret in both shapes."}}}};
}

/// A shape being shown in a talk.
inline Scene talk()
{
    return {{{ChordCard{{"F", "", ""}, kFullF, {}, {}}},
             {CapoLine{4, "C", "E"}},
             {SectionBanner{"The shapes", "Lantern on the Quay"}},
             {TextCard{"Easy stand-in: leave out the two low strings."}}}};
}

} // namespace tabard::overlay::samples
