#include "overlay/base/precondition.h"
#include "pipeline/publish/read_captions.h"

#include <cstdint>
#include <cstdlib>

extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size)
{
    using namespace tabard::pipeline;
    auto const reading = parse_captions({reinterpret_cast<char const*>(data), size});
    if (!reading)
        return 0;
    PRECONDITION(!reading->file.captions.empty());
    for (Caption const& caption : reading->file.captions)
        PRECONDITION(caption.from < caption.to);
    // What was read and written is the same again, with nothing to leave out.
    auto const again = parse_captions(webvtt(reading->file));
    PRECONDITION(again && again->left_out.empty() && again->file == reading->file);
    static_cast<void>(parse_captions(subrip(reading->file.captions)));
    return 0;
}
