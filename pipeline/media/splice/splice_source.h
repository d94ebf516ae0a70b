#pragma once
#include "overlay/base/result.h"
#include "pipeline/media/read/coded_film.h"
#include "pipeline/media/read/film_flaws.h"
#include "pipeline/media/read/h264_headers.h"
#include "pipeline/media/write/encoder_settings.h"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// Where a group of pictures lies in its film.
struct GroupPlace {
    std::size_t first_picture = 0; ///< number of its first picture, in decoding order
    std::size_t pictures = 0;
    std::int64_t bytes = 0;
    std::string digest; ///< of what its pictures are coded to: digest_of() of what a GroupReader gives
};

/// An H.264 film whose groups of pictures can be replaced one by one while all others are copied.
struct SpliceSource {
    MediaInfo info;
    AvcConfiguration configuration;
    SequenceParameters sequence;
    int free_id = 0; ///< for the parameter sets of new groups: neither a sequence nor a picture set has it
    /// How many pictures may come before another in decoding order and after it on screen: not more than in the film
    /// itself, and as its decoding times leave room for. 0 to 2.
    int reordering = 0;
    std::vector<std::int64_t> shown;   ///< presentation times in ticks of the track's clock, in decoding order
    std::vector<std::int64_t> decoded; ///< decoding times
    std::vector<std::int64_t> durations;
    std::vector<GroupPlace> groups;

    Time shown_at(std::size_t picture) const;
};

struct SpliceInspection {
    std::optional<SpliceSource> source; ///< none where splicing is not safe
    std::string why_not;                ///< then: the reason, to stand after "because "
};

/// Reads the coded pictures of `film` once, decoding none, and puts what find_flaws() gives into `flaws` where that is
/// given. Errors: as CodedFilm::open(), interrupted.
Result<SpliceInspection> inspect_for_splicing(CodedFilm& film, Container target,
                                              std::vector<FilmFlaw>* flaws = nullptr);

} // namespace tabard::pipeline
