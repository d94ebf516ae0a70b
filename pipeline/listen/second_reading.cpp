#include "pipeline/listen/second_reading.h"

#include "pipeline/listen/cue_reading.h"

#include <algorithm>
#include <utility>

namespace tabard::pipeline {

namespace {

/// Where the beat before `beat` ends: with it, but where the playing leaves the chart.
double end_of_beat_before(AlignedPart const& found, int beat)
{
    for (Deviation const& deviation : found.deviations)
        if (deviation.beat == beat)
            return std::min(deviation.from, deviation.to);
    return found.beats[static_cast<std::size_t>(beat)];
}

/// The part with its times. What is broken off inside a span is two.
CuedPart cued(ExpectedPart const& part, AlignedPart const& found)
{
    CuedPart result;
    result.chart = part;
    result.chart.spans.clear();
    result.chart.pins.clear();
    for (std::size_t n = 0; n < part.spans.size(); ++n) {
        ExpectedSpan const& span = part.spans[n];
        int const end = span.first_beat + span.beats;
        double from = found.spans[n].seconds;
        for (int first = span.first_beat; first < end;) {
            int last = end;
            for (Deviation const& deviation : found.deviations)
                for (int const edge : {deviation.beat, deviation.next_beat})
                    if (edge > first && edge < last)
                        last = edge;
            double to = end_of_beat_before(found, last);
            // A chord that comes early ends the one before it.
            if (last == end && n + 1 < part.spans.size() && to == found.beats[static_cast<std::size_t>(end)])
                to = found.spans[n + 1].seconds;
            result.chart.spans.push_back({span.chord, first, last - first});
            result.spans.push_back({from, std::max(from, to)});
            from = found.beats[static_cast<std::size_t>(last)];
            first = last;
        }
    }
    return result;
}

} // namespace

std::vector<SecondReading> read_again(Hearing const& heard, ExpectedMusic const& chart,
                                      std::span<AlignedPart const> found)
{
    std::vector<CuedPart> parts;
    for (std::size_t n = 0; n < chart.size(); ++n)
        if (found[n].found)
            parts.push_back(cued(chart[n], found[n]));
    CueWindow const window{.pushes = false, .clear = kClearMargin}; // a doubt too many costs less than a false alarm
    auto const reading = read_cues(heard, parts, window);
    std::vector<SecondReading> result(chart.size());
    for (std::size_t n = 0, read = 0; n < chart.size(); ++n) {
        if (!found[n].found)
            continue;
        auto const& spans = parts[read].chart.spans;
        for (CuesOff const& off : reading.parts[read++].off)
            if (off.last > 0 || chart[n].first_in_bar == 0) // a piece begins where it was cut: its chord sounds before
                result[n].off.push_back(
                    {spans[off.first].first_beat, spans[off.last].first_beat + spans[off.last].beats, off.late});
        // What all parts have in common is taken off before they are judged.
        if (window.many_are_off(-reading.common))
            result[n].off = {{0, chart[n].beats(), -reading.common}};
    }
    return result;
}

} // namespace tabard::pipeline
