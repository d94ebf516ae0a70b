#include "pipeline/time/timecode.h"

#include <cstddef>
#include <cstdint>
#include <string_view>

// Any text is a time or an error; what was read is printed and read back the same.
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size)
{
    using namespace tabard::pipeline;
    std::string_view const text(reinterpret_cast<char const*>(data), size);
    for (FrameRate const rate : {FrameRate{30000, 1001}, FrameRate{25, 1}}) {
        if (auto const time = parse_time(text, rate); time && parse_time(print_time_exact(*time)).value() != *time)
            __builtin_trap();
        auto const frame = timecode_frame(text, rate);
        if (frame && timecode_frame(timecode_label(*frame, {rate, false}), rate).value() != *frame)
            __builtin_trap();
    }
    if (auto const rate = parse_frame_rate(text); rate && parse_frame_rate(print_frame_rate(*rate)).value() != *rate)
        __builtin_trap();
    return 0;
}
