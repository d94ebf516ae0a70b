#pragma once
#include "overlay/base/result.h"
#include "pipeline/media/read/coded_film.h"

#include <cstdint>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// Where a film is not whole, as far as that shows without decoding it.
struct FilmFlaw {
    enum class Kind {
        missing, ///< pictures that were there once
        damaged, ///< pictures that cannot be what an encoder wrote
        moved,   ///< pictures at another time than the order they were coded for
        file,    ///< the container's own data; what is missing may be sound
    };
    Kind kind = Kind::missing;
    Time from{};               ///< film time; of `missing`: of the last picture before,
    Time to{};                 ///< and of the first one after
    std::int64_t pictures = 0; ///< how many; 0 where that cannot be told
    friend bool operator==(FilmFlaw const&, FilmFlaw const&) = default;
};

/// Reads all coded pictures once, decoding none, and judges by what their container's reader complains of, by the bytes
/// that no H.264 or HEVC stream holds, and by the numbers that H.264 gives its pictures. In order of time.
///
/// Long pictures alone are none: in a film of variable rate nobody can tell a long picture from a missing one. What is
/// not seen: other bytes in the place of a picture's own, where they are possible ones, which only decoding shows; in
/// H.264 the last pictures of a group, and in films of other codecs pictures of which the container has lost every
/// trace. Errors: as CodedFilm::open(), interrupted. `film` then has its sound().
Result<std::vector<FilmFlaw>> find_flaws(CodedFilm& film);

/// "9 frames are missing between 0:00.400 and 0:01.300; ..."; empty for none. The same words in check and in render.
std::string words_for(std::vector<FilmFlaw> const& flaws);

/// "3 frames cannot be decoded whole": of pictures that decoding has lost or guessed at; likewise. Empty for none.
std::string words_for_undecoded(std::int64_t pictures);

} // namespace tabard::pipeline
