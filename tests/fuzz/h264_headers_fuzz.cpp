#include "pipeline/media/splice/coded_group.h"
#include "pipeline/media/splice/h264_headers.h"

#include <cstddef>
#include <cstdint>
#include <span>

// Any bytes are headers or none; a configuration record that can be read is written as it was read.
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size)
{
    using namespace tabard::pipeline;
    std::span const bytes{reinterpret_cast<std::byte const*>(data), size};
    (void)parse_sequence_parameters(bytes);
    (void)parse_picture_parameters_id(bytes);
    (void)split_start_codes(bytes);
    for (int const length : {1, 2, 4})
        (void)split_counted_units(bytes, length);
    if (auto const configuration = AvcConfiguration::parse(bytes))
        if (auto const again = AvcConfiguration::parse(configuration->bytes());
            !again || again->sequence_sets != configuration->sequence_sets)
            __builtin_trap();
    if (auto const group = CodedGroup::parse(bytes, 0))
        if (CodedGroup::parse(group->serialise(), 0) != group)
            __builtin_trap();
    return 0;
}
