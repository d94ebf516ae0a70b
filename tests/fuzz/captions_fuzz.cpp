#include "pipeline/publish/caption_files.h"

#include <cstdint>
#include <cstdlib>

extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size)
{
    using namespace tabard::pipeline;
    auto const file = parse_captions({reinterpret_cast<char const*>(data), size});
    // What was read and written can be looked at again.
    if (file && file->blocks.empty())
        static_cast<void>(parse_captions(webvtt(*file)));
    return 0;
}
