#pragma once
#include "overlay/base/result.h"
#include "pipeline/media/decoded_picture.h"
#include "pipeline/media/media_info.h"
#include "pipeline/media/read/coded_film.h"
#include "pipeline/media/write/encoder_settings.h"

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

namespace tabard::pipeline {

enum class Location { drop, keep };

struct WriteOptions {
    Container container = Container::mp4;
    EncoderSettings encoder;
    Location location = Location::drop;
    std::optional<std::string> title;             ///< replaces the source's
    std::optional<std::vector<Chapter>> chapters; ///< replace the source's
    Time from{};                                  ///< a part of the film: [from, to) becomes [0, to - from)
    std::optional<Time> to;
    /// What any browser plays: frames of 8 bits and 4:2:0 without fields, sound as AAC, MP3 or Opus, nothing else.
    bool for_browsers = false;
    SoundDigests whole_sound; ///< of the source, proved before: copied without being decoded
    std::stop_token stop;
};

struct WriteReport {
    std::int64_t pictures = 0;
    std::int64_t bytes = 0;
    std::vector<std::string> notes; ///< what could not be kept as it was, one sentence each
    SoundDigests whole_sound;       ///< of the source's sound, what was decoded from end to end and is whole
};

/// Writes a film: the pictures it is given, encoded, and everything else of the source copied beside them (sound,
/// captions, cover art, title, chapters, turning, sample aspect, colour tags, HDR metadata). It opens the source
/// itself for the copying. Move-only; one thread at a time.
///
/// Times of pictures are kept to the tick of the source's clock; Matroska and WebM count milliseconds.
/// The target is written in place and is whole only after finish(): give it a temporary name.
class FilmWriter {
public:
    /// Errors: as check_settings(); io if the target cannot be made; invalid_input if it is the source itself.
    static Result<FilmWriter> create(std::filesystem::path const& target, MediaInfo const& source,
                                     WriteOptions const& options);
    FilmWriter(FilmWriter&&) noexcept;
    FilmWriter& operator=(FilmWriter&&) noexcept;
    ~FilmWriter();

    /// Pictures in rising order of time. Errors: io (disk full), unsupported (the encoder refuses), interrupted.
    Result<void> write(DecodedPicture picture);

    /// Ends the film. Nothing more may be written.
    Result<WriteReport> finish();

private:
    struct Impl;
    explicit FilmWriter(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> m_impl;
};

} // namespace tabard::pipeline
