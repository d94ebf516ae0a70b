#include "pipeline/retime/edl_cut.h"
#include "tests/fuzz/cut_fuzz.h"

extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size)
{
    return tabard::tests::fuzz_cut(tabard::pipeline::parse_edl_cut, data, size);
}
