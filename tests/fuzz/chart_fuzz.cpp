#include "pipeline/cues/chart.h"

#include <cstddef>
#include <cstdint>
#include <string_view>

// Any text is a chart whose bars all have the meter's beats, or findings say why not; never more bars than allowed.
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size)
{
    using namespace tabard;
    using namespace tabard::pipeline;
    std::string_view const text(reinterpret_cast<char const*>(data), size);
    for (overlay::Meter const meter : {overlay::Meter{4, 4}, overlay::Meter{6, 8}, overlay::Meter{7, 8, 0b0010101}}) {
        ChartReading const reading = parse_chart(text, meter);
        if (reading.chart.bars() > kMostBars || (reading.findings.empty() && reading.chart.bars() == 0))
            __builtin_trap();
        for (WrittenBar const& bar : reading.chart.written) {
            int beats = 0;
            for (ChartChord const& chord : bar.chords)
                beats += chord.beats;
            if (beats != meter.beats)
                __builtin_trap();
        }
    }
    return 0;
}
