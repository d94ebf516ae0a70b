#pragma once
#include "pipeline/media/read/media_reader.h"

#include <vector>

namespace tabard::pipeline {

/// Ten seconds at 25 pictures a second, each `key_step`th a keyframe; `bytes(n)` is the size of picture n between them.
template <class Bytes>
std::vector<CodedSize> coded(int key_step, Bytes bytes)
{
    std::vector<CodedSize> result;
    for (int n = 0; n < 250; ++n) {
        bool const key = n % key_step == 0;
        result.push_back({from_frame(n, {25, 1}), key ? 90'000 : bytes(n), key});
    }
    return result;
}

} // namespace tabard::pipeline
