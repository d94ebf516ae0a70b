#include "overlay/music/patterns/strum_pattern.h"

#include <cstddef>
#include <cstdint>

// Any text is a pattern or an error; what was read is printed and read back the same.
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size)
{
    using namespace tabard::overlay;
    auto const pattern = StrumPattern::parse({reinterpret_cast<char const*>(data), size});
    if (!pattern)
        return 0;
    if (StrumPattern::parse(pattern->text()).value() != *pattern)
        __builtin_trap();
    auto const steps = static_cast<int>(pattern->steps.size());
    for (Meter const meter : {Meter{4, 4}, Meter{6, 8}, Meter{8, 8, 0b01001001}})
        if (count_syllables(meter, steps).size() != pattern->steps.size() ||
            (steps == 24 && !fits_bar(*pattern, meter)))
            __builtin_trap();
    return 0;
}
