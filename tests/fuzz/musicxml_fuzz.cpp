#include "overlay/music/musicxml/musicxml.h"

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <vector>

// Any bytes are harmonies or an error; what was read can be written and read back.
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size)
{
    using namespace tabard::overlay;
    auto const read = from_musicxml({reinterpret_cast<char const*>(data), size});
    if (!read)
        return 0;
    std::vector<Harmony> harmonies;
    for (auto const& harmony : *read)
        if (harmony)
            harmonies.push_back(*harmony);
    auto const again = from_musicxml(to_musicxml(harmonies, Tuning{}));
    if (!again || !std::ranges::all_of(*again, [](auto const& harmony) { return harmony.has_value(); }))
        __builtin_trap();
    return 0;
}
