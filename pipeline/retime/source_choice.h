#pragma once
#include "pipeline/retime/cut_source.h"

namespace tabard::pipeline {

/// Sources that are the footage, with what the choice rests on where that is little.
struct SourceChoice {
    std::vector<std::size_t> sources; ///< none where nothing but generated picture is seen
    std::vector<std::string> remarks;
};

/// Which of the sources that are seen are the footage. Those that options.source names; else those whose file, clip or
/// reel is called like options.footage, in this order of trust, and a reel of its first eight letters where nothing
/// speaks against it; else the only one with the footage's own timecode; else the only one, where it has no name at
/// all. What is left is a question: fails with invalid_input, listing the sources.
Result<SourceChoice> choose_sources(std::vector<CutSource> const& sources, CutOptions const& options);

/// "lantern.mp4 (3 shots), SPONSOR (1 shot)" of those that are seen, the most used first.
std::string listed(std::vector<CutSource> sources);

} // namespace tabard::pipeline
