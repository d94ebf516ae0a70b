#include "pipeline/retime/csv_cut.h"
#include "tests/fuzz/cut_fuzz.h"

extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size)
{
    return tabard::tests::fuzz_cut(tabard::pipeline::parse_csv_cut, data, size);
}
