#pragma once
#include "pipeline/retime/cut_file.h"

#include <cstddef>
#include <cstdint>

namespace tabard::tests {

/// Any bytes are a cut or an error, and a cut's stretches are those of a film.
template <class Parse>
int fuzz_cut(Parse parse, std::uint8_t const* data, std::size_t size)
{
    using namespace tabard::pipeline;
    CutOptions options;
    options.rate = FrameRate{30000, 1001};
    options.lenient = size % 2 == 0;
    auto const reading = parse({reinterpret_cast<char const*>(data), size}, options);
    if (!reading)
        return 0;
    for (KeptSpan const& span : reading->map.spans())
        if (span.target.empty() || span.source.length() < Time{0} || span.target.to > reading->new_length)
            __builtin_trap();
    (void)reading->map.inverse();
    return 0;
}

} // namespace tabard::tests
