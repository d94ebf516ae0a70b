#pragma once
// Packets of sound in, samples on one even grid out. Included by this folder's .cpp files alone.
#include "pipeline/media/av.h"

#include <deque>
#include <span>
#include <vector>

namespace tabard::pipeline::av {

/// Decodes one sound stream onto the grid n / rate of film time: gaps and a late start become silence, overlaps and
/// what lies before 0 are dropped. Memory is bounded by one packet's sound, however long a gap is; one of more than an
/// hour is an error (decode).
class SoundGrid {
public:
    SoundGrid() = default;
    /// Interleaved floats of `channels` channels at `rate`.
    static Result<SoundGrid> open(AVStream const& stream, std::int64_t zero_ticks, int rate, int channels,
                                  std::filesystem::path const& path);

    /// Hands over a packet of the stream; null at the end. Take all samples before the next one.
    void push(AVPacket const* packet);
    /// The next samples, valid until the next call; empty when a packet is wanted, or the sound is over.
    Result<std::span<float const>> pull();

    std::int64_t broken_packets() const { return m_broken; }

private:
    bool decode();
    Result<void> place_frame();
    Error too_long_a_gap(std::int64_t samples) const;
    Result<void> resample_like(AVFrame const& frame);
    Result<std::span<float const>> convert(std::uint8_t const** planes, int count);
    Result<std::span<float const>> give_frame();
    Result<std::span<float const>> give_silence();

    std::filesystem::path m_path;
    CodecHandle m_decoder;
    ResamplerHandle m_resampler;
    FrameHandle m_frame;
    std::vector<float> m_out;
    std::vector<std::uint8_t> m_silence_bytes;
    AVRational m_clock{1, 1};
    std::int64_t m_zero_ticks = 0;
    int m_rate = 0;
    int m_channels = 0;
    AVSampleFormat m_source_format = AV_SAMPLE_FMT_NONE;
    int m_source_rate = 0;
    int m_source_channels = 0;
    std::int64_t m_position = 0; ///< of the next source sample, at the source's rate
    std::int64_t m_silence = 0;  ///< source samples of silence due before m_frame
    int m_offset = 0;            ///< samples of m_frame already used
    int m_wild_stamps = 0;       ///< in a row that lie hours away
    bool m_frame_ready = false;
    bool m_started = false;
    bool m_ended = false;
    bool m_flushed = false;
    std::int64_t m_broken = 0;
};

} // namespace tabard::pipeline::av
