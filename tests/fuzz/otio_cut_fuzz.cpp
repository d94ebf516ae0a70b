#include "pipeline/retime/otio_cut.h"
#include "tests/fuzz/cut_fuzz.h"

extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size)
{
    return tabard::tests::fuzz_cut(tabard::pipeline::parse_otio_cut, data, size);
}
