#pragma once
#include "overlay/base/result.h"
#include "pipeline/match/matched_piece.h"
#include "pipeline/time/time.h"

#include <filesystem>
#include <optional>
#include <stop_token>
#include <vector>

namespace tabard::pipeline {

/// What the pictures of a film that was matched by its sound say about that sound.
struct PictureDelay {
    std::optional<double> seconds; ///< by which it is later against its pictures than the old film's was; negative:
                                   ///< early; none where the pictures cannot tell
    bool differs = false;          ///< some places say clearly this, others that
    FrameRate rate;                ///< of the new film
};

/// Looks at some seconds of pictures, at up to eight places in the pieces, four where these are clear and agree.
/// Errors: as MediaReader; not_found where a film has no pictures.
Result<PictureDelay> picture_delay(std::filesystem::path const& old_film, std::filesystem::path const& new_film,
                                   std::vector<MatchedPiece> const& pieces, std::stop_token stop = {});

} // namespace tabard::pipeline
