#include "pipeline/media/coded_group.h"
#include "pipeline/media/read/coded_order.h"
#include "pipeline/media/read/h264_headers.h"

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

// Any bytes are headers or none; a configuration record that can be read is written as it was read.
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size)
{
    using namespace tabard::pipeline;
    std::span const bytes{reinterpret_cast<std::byte const*>(data), size};
    (void)parse_sequence_parameters(bytes);
    (void)parse_picture_parameters_id(bytes);
    CodedOrder order(size % 2 == 0 ? CodedOrder::Codec::h264 : CodedOrder::Codec::hevc, bytes.first(size / 2));
    (void)order.add(bytes.subspan(size / 2));
    (void)order.add(bytes);
    (void)split_start_codes(bytes);
    for (int const length : {1, 2, 4})
        (void)split_counted_units(bytes, length);
    if (auto const configuration = AvcConfiguration::parse(bytes))
        if (auto const again = AvcConfiguration::parse(configuration->bytes());
            !again || again->sequence_sets != configuration->sequence_sets)
            __builtin_trap();
    // A group is kept with its times counted from its first decoding time, and comes back at any.
    if (auto const group = CodedGroup::parse(std::vector(bytes.begin(), bytes.end()), 0);
        group && !group->pictures.empty())
        if (CodedGroup::parse(group->serialise(), group->pictures.front().decoded) != group)
            __builtin_trap();
    return 0;
}
