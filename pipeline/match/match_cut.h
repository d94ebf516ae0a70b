#pragma once
#include "overlay/base/result.h"
#include "pipeline/match/match_sound.h"
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
    std::vector<std::string> remarks; ///< ties, delay, each a sentence for a person
};

/// The pieces as a cut. With a frame rate, a part of a frame that all pieces are late by is taken for a delay of the
/// sound: editors cut on frames. Fails with unsupported where hardly anything of the old film is in the new one.
Result<MatchedCut> cut_of_pieces(std::vector<MatchedPiece> const& pieces, Time new_length, FrameRate rate,
                                 Evidence by = Evidence::sound);

/// Compares the sound of two films, and their pictures where the sound tells nothing. Fails with unsupported, naming
/// the film and the reasons, where neither does.
Result<MatchedCut> match_cut(std::filesystem::path const& old_film, std::filesystem::path const& new_film,
                             FrameRate rate, std::stop_token stop = {},
                             std::function<void(double)> const& progress = {});

} // namespace tabard::pipeline
