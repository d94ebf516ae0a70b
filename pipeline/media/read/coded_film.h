#pragma once
#include "overlay/base/result.h"
#include "pipeline/media/media_info.h"

#include <filesystem>
#include <map>
#include <memory>
#include <stop_token>
#include <string>
#include <utility>

namespace tabard::pipeline {

namespace av {
class PictureStream;
}

/// A digest of all packets of each sound track, by the number of its stream.
using SoundDigests = std::map<int, std::string>;

/// A film that is open: what its headers say, and its coded pictures as often as they are wanted. Who inspects a film
/// before it is rendered hands it on, so that it is opened and its beginning decoded once. Move-only; one thread at a
/// time.
class CodedFilm {
public:
    /// Errors: as probe_film().
    static Result<CodedFilm> open(std::filesystem::path const& path, std::stop_token stop = {});
    CodedFilm(CodedFilm&&) noexcept;
    CodedFilm& operator=(CodedFilm&&) noexcept;
    ~CodedFilm();

    MediaInfo const& info() const; ///< with a video track
    VideoTrack const& video() const { return *info().video; }

    /// As the last pass of find_flaws() or read_picture_times() read it; empty before.
    SoundDigests const& sound() const { return m_sound; }
    void note_sound(SoundDigests sound) { m_sound = std::move(sound); } ///< for pipeline/media only

    av::PictureStream& pictures() { return *m_pictures; } ///< for pipeline/media only

private:
    explicit CodedFilm(std::unique_ptr<av::PictureStream> pictures);
    std::unique_ptr<av::PictureStream> m_pictures;
    SoundDigests m_sound;
};

} // namespace tabard::pipeline
