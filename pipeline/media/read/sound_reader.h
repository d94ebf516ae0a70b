#pragma once
#include "overlay/base/result.h"
#include "pipeline/time/time.h"

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <span>
#include <stop_token>

namespace tabard::pipeline {

enum class Channels { mono, stereo };

struct SoundFormat {
    int rate = 48'000; ///< samples per second
    Channels channels = Channels::mono;
};

/// The sound of a film as floats in [-1, 1] on one even grid: frame n is heard at film time n / rate. Edit lists,
/// encoder priming and a late start are honoured; gaps are silence; what lies before film time 0 is left out. Several
/// channels are interleaved; many become mono by a weighted mean that cannot clip. Streams: memory does not grow with
/// the length.
class SoundReader {
public:
    /// Takes the default sound track, or the first. Errors: as probe(); not_found for a file without sound.
    static Result<SoundReader> open(std::filesystem::path const& path, SoundFormat format, std::stop_token stop = {});
    SoundReader(SoundReader&&) noexcept;
    SoundReader& operator=(SoundReader&&) noexcept;
    ~SoundReader();

    SoundFormat format() const;
    int channels() const;  ///< floats per frame: 1 or 2
    Time duration() const; ///< as the container says it; an estimate

    /// The next samples, at most a few thousand frames; empty at the end. Valid until the next call. Broken packets
    /// become silence and are counted.
    Result<std::span<float const>> next();

    std::int64_t broken_packets() const;

private:
    struct Impl;
    explicit SoundReader(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> m_impl;
};

} // namespace tabard::pipeline
