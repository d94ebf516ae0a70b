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

/// The chorus of 16 bars at a bar of those from 5 on, at one of its beats.
inline BarRibbon ribbon(int bar, int beat)
{
    ChordLabel const c{"C", "", ""};
    ChordLabel const g_over_b{"G", "", "B"};
    ChordLabel const f{"F", "maj7", ""};
    std::vector<std::vector<RibbonChord>> const chords{{{c, 4}}, {{g_over_b, 4}}, {{f, 2}, {c, 2}}, {{f, 2}, {c, 2}}};
    BarRibbon ribbon{{}, beat, 4, 16, 350, "Chorus, slowly"};
    for (int ahead = 0; ahead < kBarsAhead; ++ahead) {
        int const number = bar + ahead;
        ribbon.bars.push_back({number, 4, chords[static_cast<std::size_t>((number - 5) % 4)]});
    }
    return ribbon;
}

/// What is on screen while the chorus is played.
inline Scene playing()
{
    return {{{ChordCard{{"G", "", "B"}, kGOverB, {1}, {}}},
             {NextChordCard{{"Am", "7", ""}, kAm7, {}, {}, 3, 4}},
             {CapoLine{4, "C", "E"}},
             {StrumLane{"rolling", rolling(), {}, 3, 5, 5}},
             {BarRibbon{ribbon(6, 1)}}}};
}

/// Two fingers stay through the whole part, one more until the next chord.
inline Scene anchored()
{
    Shape const c_7{{-1, 3, 2, 3, 1, 0}, {0, 3, 2, 4, 1, 0}};
    return {{{ChordCard{{"C", "", ""}, kC, {1, 2, 4}, {2, 4}}},
             {NextChordCard{{"C", "7", ""}, c_7, {1, 2, 4}, {2, 4}, 2, 4}},
             {SectionBanner{"Verse", "Keep fingers 1 and 2 on strings 2 and 4 (frets 1 and 2)"}}}};
}

/// Every kind of layer at once.
inline Scene everything()
{
    return {{{ChordCard{{"F\u266Fm", "7\u266D5", ""}, kFsharpM7Flat5, {2, 3}, {}}},
             {NextChordCard{{"B\u266D", "", "D"}, kFullF, {0}, {}, 2, 4}},
             {CapoLine{4, "C", "E"}},
             {StrumLane{"picking", picking(), {}, 4, 5, 5}},
             {BarRibbon{ribbon(7, 2)}},
             {SectionBanner{"Chorus, slowly", "Lantern on the Quay"}},
             {CountIn{3, 4}},
             {TextCard{"Keep the ring finger down: it is the same string and fret in both shapes."}}}};
}

/// The last beat of a chord: the fingers of the next one are seen coming.
inline Scene last_beat()
{
    return {{{ChordCard{{"C", "", ""}, kC, {4}, {}, kFullF}},
             {NextChordCard{{"F", "", ""}, kFullF, {4}, {}, 1, 4}},
             {StrumLane{"rolling", rolling(), {}, 7, 5, 0}},
             {BarRibbon{ribbon(8, 3)}}}};
}

/// Much in little room: four chords in each bar of twelve eighths, played with finger letters.
inline Scene crowded()
{
    ChordLabel const first{"F\u266Fm", "7\u266D5", ""};
    ChordLabel const second{"B\u266D", "maj7", "D"};
    std::vector<RibbonChord> const bar{{first, 3}, {second, 3}, {{"E\u266D", "", "G"}, 3}, {{"Am", "7", ""}, 3}};
    BarRibbon const ribbon{{{7, 12, bar}, {8, 12, bar}, {9, 12, bar}, {10, 12, bar}}, 2, 4, 128, 1250,
                           "\u041F\u0440\u0438\u043F\u0435\u0432, slowly and freely"};
    StrumPattern busy = picking();
    busy.steps.insert(busy.steps.end(), busy.steps.begin(), busy.steps.begin() + 4);
    return {{{ChordCard{first, kFsharpM7Flat5, {2, 3}, {}}},
             {NextChordCard{second, kFullF, {}, {}, 3, 3}},
             {CapoLine{12, "B\u266Dm", "G\u266Fm"}},
             {StrumLane{"busy", busy, {12, 8}, 3, 5, 4}},
             {ribbon},
             {SectionBanner{"\u041F\u0440\u0438\u043F\u0435\u0432, slowly and freely",
                            "Keep fingers 3 and 4 on strings 2 and 1 (fret 3)"}},
             {CountIn{3, 12}},
             {TextCard{"Keep the ring finger down: it is the same string and fret in both shapes, and the thumb "
                       "stays behind the neck all the time."}}}};
}

/// No chord sounds: the hands rest.
inline Scene no_chord()
{
    return {{{ChordCard{{"N.C.", "", ""}, {}, {}, {}}},
             {NextChordCard{{"Am", "7", ""}, kAm7, {}, {}, 2, 4}},
             {StrumLane{"rolling", rolling(), {}, std::nullopt, 5, std::nullopt, true}},
             {BarRibbon{ribbon(6, 2)}}}};
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
