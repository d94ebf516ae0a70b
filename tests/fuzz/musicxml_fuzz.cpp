#include "overlay/music/musicxml/musicxml.h"

#include <cstddef>
#include <cstdint>

// Any bytes are harmonies or an error; what was read can be written and read back.
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size)
{
    using namespace tabard::overlay;
    auto const read = from_musicxml({reinterpret_cast<char const*>(data), size});
    if (read && !from_musicxml(to_musicxml(*read, Tuning{})))
        __builtin_trap();
    return 0;
}
