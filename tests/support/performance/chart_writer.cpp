#include "tests/support/performance/chart_writer.h"

#include <algorithm>

namespace tabard::tests {

namespace {

std::string bars_text(WrittenPart const& part)
{
    auto const& spans = part.chart.spans;
    std::string text;
    for (std::size_t n = 0; n < spans.size(); ++n) {
        if (n > 0)
            text += spans[n].first_beat % part.chart.beats_per_bar == 0 ? " | " : " ";
        text += name_of_shape(part.shapes[n]);
        if (spans[n].beats < part.chart.beats_per_bar)
            for (int beat = 1; beat < spans[n].beats; ++beat)
                text += " /";
    }
    return text;
}

} // namespace

WrittenPart write_part(Manner const& manner, ChordFamily const& family, Dice& dice)
{
    WrittenPart part;
    part.chart.beats_per_bar = manner.beats_per_bar;
    int beat = 0;
    auto const add = [&](int shape, int beats) {
        part.chart.spans.push_back({heard_shape(shape), beat, beats});
        part.shapes.push_back(shape);
        beat += beats;
    };
    auto const other = [&] {
        int shape = family[dice.random() % family.size()];
        while (!part.shapes.empty() && shape == part.shapes.back())
            shape = family[dice.random() % family.size()];
        return shape;
    };
    for (int bar = 0; bar < manner.bars_per_part; ++bar) {
        double const kind = dice.uniform(0, 1);
        if (!part.shapes.empty() && (kind < 0.15 || manner.one_chord)) {
            add(part.shapes.back(), manner.beats_per_bar);
        } else if (kind < 0.35 && manner.beats_per_bar == 4 && !manner.one_chord) {
            add(other(), 2);
            add(other(), 2);
        } else {
            add(other(), manner.beats_per_bar);
        }
    }
    if (!manner.patterns.empty()) {
        part.strum = manner.patterns[dice.more() % manner.patterns.size()];
        part.strokes = strokes_of(part.strum, manner.beats_per_bar, manner.swing);
        if (!dice.more_chance(manner.written))
            part.strum.clear();
        if (!part.strum.empty())
            part.chart.strokes = expected_strokes(part.strokes, manner.beats_per_bar);
    }
    part.bars = bars_text(part);
    return part;
}

int wrong_shape_for(int shape, Dice& dice)
{
    auto const wanted = heard_shape(shape).tones;
    for (;;) {
        int const other = static_cast<int>(dice.random() % kPlainShapes);
        auto const tones = heard_shape(other).tones;
        auto const shared =
            std::ranges::count_if(tones, [&](int t) { return std::ranges::find(wanted, t) != wanted.end(); });
        if (shared <= 1)
            return other;
    }
}

} // namespace tabard::tests
