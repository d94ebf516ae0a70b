#pragma once
#include "pipeline/media/read/media_reader.h"

#include <cstdint>
#include <string>
#include <vector>

namespace tabard::pipeline {

struct FilmReport {
    std::int64_t pictures = 0;
    std::int64_t drawn_pictures = 0; ///< of them, with an overlay
    std::int64_t bytes = 0;
    bool spliced = false;        ///< untouched groups were copied
    std::string why_whole;       ///< where not: the reason, to stand after "because "; empty where asked for
    std::int64_t groups = 0;     ///< of a spliced film: all,
    std::int64_t encoded = 0;    ///< encoded now,
    std::int64_t from_cache = 0; ///< and found in the cache
    int at_once = 0;             ///< most groups that were in work at the same time
    ReadDamage damage;
    std::vector<std::string> notes; ///< what could not be kept or was guessed, one sentence each
};

} // namespace tabard::pipeline
