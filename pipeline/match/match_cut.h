#pragma once
#include "overlay/base/result.h"
#include "pipeline/match/matched_piece.h"
#include "pipeline/match/picture_delay.h"
#include "pipeline/time/edit_map.h"

#include <filesystem>
#include <functional>
#include <stop_token>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// What tells how a film was cut again.
enum class Evidence { sound, pictures };

/// How a film was cut again.
struct MatchedCut {
    Evidence by = Evidence::sound;
    EditMap map;
    Time new_length{0};    ///< of the new film's sound, or its pictures
    Time delay{0};         ///< by which the new sound runs late against its pictures throughout; taken out of the map
    double kept_share = 0; ///< of the new film that comes from the old one
    std::vector<std::string> remarks; ///< speeds, ties, delay, each a sentence for a person
};

/// The pieces as a cut, on frames of `rate` where they lie near them: editors cut there. A part of a frame that all
/// pieces are late by is taken for a delay of the sound, and so is what `pictures` say. Fails with unsupported where
/// hardly anything of the old film is in the new one.
Result<MatchedCut> cut_of_pieces(std::vector<MatchedPiece> pieces, Time new_length, FrameRate rate,
                                 Evidence by = Evidence::sound, PictureDelay const& pictures = {});

/// Compares the sound of two films, then some of their pictures, to see whether the sound keeps step with them; all of
/// their pictures where the sound tells nothing. Fails with unsupported, naming the film and the reasons, where
/// neither does.
Result<MatchedCut> match_cut(std::filesystem::path const& old_film, std::filesystem::path const& new_film,
                             FrameRate rate, std::stop_token stop = {},
                             std::function<void(double)> const& progress = {});

} // namespace tabard::pipeline
