#pragma once
#include "overlay/music/names/chord_name.h"
#include "overlay/sheet/sheet_model.h"
#include "tests/overlay/drawing/samples.h"

#include <utility>
#include <vector>

// A sheet of an invented song.
namespace tabard::overlay::samples {

inline SheetBar bar(std::vector<std::pair<char const*, int>> const& chords)
{
    SheetBar result;
    for (auto const& [name, beats] : chords)
        result.chords.push_back({label_of(name), beats, false});
    return result;
}

inline SheetModel lantern_sheet()
{
    SheetModel model;
    model.title = "Lantern on the Quay";
    model.capo = 4;
    model.shapes_key = "C";
    model.sounding_key = "E";
    model.meter = "4/4";
    model.tempo = "80 beats a minute";
    model.link = "https://example.org/lessons/lantern-on-the-quay";
    model.chords = {
        {label_of("C"), {{kC, ""}}},
        {label_of("G/B"), {{kGOverB, ""}}},
        {label_of("Am7"), {{kAm7, ""}}},
        {label_of("F"), {{{{-1, -1, 3, 2, 1, 1}, {0, 0, 3, 2, 1, 1}}, "easy"}, {kFullF, "full"}}},
        {label_of("F#m7b5"), {{kFsharpM7Flat5, ""}}},
        {label_of("Em"), {{{{0, 2, 2, 0, 0, 0}, {0, 2, 3, 0, 0, 0}}, ""}}},
        {label_of("Am"), {{{{-1, 0, 2, 2, 1, 0}, {0, 0, 2, 3, 1, 0}}, ""}}},
    };
    model.anchors = {"C to Am7: keep fingers 1 and 2 on strings 2 and 4."};
    for (auto const& [shape, sounds] : {std::pair{"C", "E"},
                                        {"G/B", "B/D#"},
                                        {"Am7", "C#m7"},
                                        {"F", "A"},
                                        {"F#m7b5", "A#m7b5"},
                                        {"Em", "G#m"},
                                        {"Am", "C#m"}})
        model.soundings.push_back({label_of(shape), label_of(sounds)});
    model.strums = {{"rolling", rolling(), {}}, {"picking", picking(), {}}};

    SheetPart verse{"Verse 1", "", {}, "", "rolling", "", {}, {}};
    verse.bars = {bar({{"C", 4}}),
                  bar({{"G/B", 4}}),
                  bar({{"Am7", 4}}),
                  bar({{"F", 2}, {"C", 2}}),
                  bar({{"C", 4}}),
                  bar({{"G/B", 4}}),
                  bar({{"F", 2}, {"G/B", 1}, {"C", 1}}),
                  {{}, true, false, 0}};
    verse.words = {"Down by the water | a light in the | window | waits for the tide",
                   "and nobody knows who is keeping it there"};
    SheetPart chorus{"Chorus", "", {}, "88 beats a minute", "rolling", "", {}, {}};
    chorus.bars = {bar({{"F", 4}}), bar({{"C", 4}}), bar({{"F", 4}}), bar({{"C", 4}}),
                   bar({{"F#m7b5", 2}, {"G/B", 2}})};
    chorus.bars[0].opens_repeat = true;
    chorus.bars[3].closes_repeat = 3;
    SheetPart second{"Verse 2", "Verse 1", {}, "", "rolling", "", {}, {}};
    SheetPart bridge{"Bridge", "", {6, 8}, "", "picking", "Played freely, with the thumb alone.", {}, {}};
    bridge.bars = {bar({{"Am", 6}}), bar({{"Em", 6}}), bar({{"F", 3}, {"C", 3}}), bar({{"Am", 6}})};
    model.parts = {verse, chorus, second, bridge};
    return model;
}

} // namespace tabard::overlay::samples
