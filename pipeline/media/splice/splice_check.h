#pragma once
#include "overlay/base/result.h"
#include "pipeline/media/splice/splice_source.h"

#include <filesystem>
#include <stop_token>
#include <vector>

namespace tabard::pipeline {

/// What a spliced film must be, gathered while it is written.
struct SpliceExpectation {
    AvcConfiguration configuration;
    struct Picture {
        std::int64_t shown; ///< on the clock of the source
        std::size_t bytes;
    };
    std::vector<Picture> pictures;  ///< in decoding order
    std::vector<std::size_t> seams; ///< groups that begin after a change between copied and encoded
};

/// Reads `film` again and compares it with what was meant: its parameter sets, the number of pictures, the time and the
/// size of each, and for a sample of the seams, that seeking before it and decoding across it gives the pictures that
/// are due. Errors: decode with what differs; interrupted.
Result<void> check_spliced(std::filesystem::path const& film, SpliceSource const& source,
                           SpliceExpectation const& expected, std::stop_token stop = {});

} // namespace tabard::pipeline
