#pragma once
#include "overlay/base/result.h"
#include "pipeline/media/decoded_picture.h"
#include "pipeline/media/media_info.h"
#include "pipeline/media/read/coded_film.h"

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <stop_token>
#include <vector>

namespace tabard::pipeline {

/// What is decoded. Anything but exact is for measuring only, never for showing.
enum class Thoroughness {
    exact,
    rough,     ///< every picture, about a fifth faster: block edges are left unsmoothed
    keyframes, ///< only pictures that need no other, some twenty times faster
};

struct ReadOptions {
    int threads = 0;              ///< decoder threads; 0 is one per core
    std::optional<SizePx> scaled; ///< pictures brought to this stored size (even numbers) as they are read
    std::stop_token stop;
    Thoroughness thoroughness = Thoroughness::exact;
};

/// What went wrong on the way and was concealed.
struct ReadDamage {
    std::int64_t broken_packets = 0;     ///< the decoder refused them
    std::int64_t concealed_pictures = 0; ///< shown, but parts are guessed
    std::int64_t repaired_times = 0;     ///< missing or not rising in the file
    bool cut_short = false;              ///< the file ends in the middle of its data
    bool none() const { return *this == ReadDamage{}; }
    friend bool operator==(ReadDamage const&, ReadDamage const&) = default;
};

/// What a coded picture costs tells something of how much changes in it.
struct CodedSize {
    Time shown{0};
    std::int64_t bytes = 0;
    bool key = false;
};

/// The pictures of a film in presentation order. Move-only; one thread at a time.
class MediaReader {
public:
    /// Errors as probe_film().
    static Result<MediaReader> open(std::filesystem::path const& path, ReadOptions const& options = {});
    /// Goes on with a film that is open, from its beginning; its own stop token counts beside `options.stop`.
    static Result<MediaReader> open(CodedFilm film, ReadOptions const& options = {});
    MediaReader(MediaReader&&) noexcept;
    MediaReader& operator=(MediaReader&&) noexcept;
    ~MediaReader();

    MediaInfo const& info() const;
    VideoTrack const& video() const; ///< info().video, which a reader always has

    /// The next picture, or none at the end. Broken packets are skipped and counted; an error is only what ends the
    /// reading: interrupted, or decode if not one picture could be decoded.
    Result<std::optional<DecodedPicture>> next();

    /// Goes to the picture that is on screen at `time`: next() gives it, or the first one if `time` is before it.
    Result<void> seek(Time time);

    /// So far; whole once next() has given none.
    ReadDamage damage() const;
    /// Of every coded picture so far, whether it was decoded or not, in the order of the file. Those whose time the
    /// container does not say are missing.
    std::vector<CodedSize> const& coded_sizes() const;

private:
    struct Impl;
    explicit MediaReader(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> m_impl;
};

} // namespace tabard::pipeline
