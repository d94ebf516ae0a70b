#pragma once
// Owning wrappers of libav handles. Included by this folder's .cpp files alone.
#include <atomic>
#include <cmath>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>
#include <utility>

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/cpu.h>
#include <libavutil/display.h>
#include <libavutil/imgutils.h>
#include <libavutil/opt.h>
#include <libavutil/pixdesc.h>
#include <libswresample/swresample.h>
#include <libswscale/swscale.h>
}

#include "overlay/base/result.h"
#include "pipeline/media/decoded_picture.h"
#include "pipeline/time/time.h"

namespace tabard::pipeline::av {

/// Calls a libav release function of the form void f(T**), which most of them are.
template <auto Release>
struct Releaser {
    template <class T>
    void operator()(T* p) const noexcept
    {
        Release(&p);
    }
};
/// The few that take the handle itself.
template <auto Release>
struct PlainReleaser {
    template <class T>
    void operator()(T* p) const noexcept
    {
        Release(p);
    }
};

using InputHandle = std::unique_ptr<AVFormatContext, Releaser<avformat_close_input>>;
using CodecHandle = std::unique_ptr<AVCodecContext, Releaser<avcodec_free_context>>;
using FrameHandle = std::unique_ptr<AVFrame, Releaser<av_frame_free>>;
using PacketHandle = std::unique_ptr<AVPacket, Releaser<av_packet_free>>;
using PoolHandle = std::unique_ptr<AVBufferPool, Releaser<av_buffer_pool_uninit>>;
using ResamplerHandle = std::unique_ptr<SwrContext, Releaser<swr_free>>;
using ScalerHandle = std::unique_ptr<SwsContext, PlainReleaser<sws_freeContext>>;
using ParametersHandle = std::unique_ptr<AVCodecParameters, Releaser<avcodec_parameters_free>>;

/// A dictionary of options; what libav did not take is left in it.
class Options {
public:
    Options() = default;
    Options(Options const&) = delete;
    Options& operator=(Options const&) = delete;
    ~Options() { av_dict_free(&m_dictionary); }
    void set(char const* key, std::string const& value) { av_dict_set(&m_dictionary, key, value.c_str(), 0); }
    AVDictionary** get() { return &m_dictionary; }
    /// The name of an option nobody took, if there is one.
    std::optional<std::string> left_over() const
    {
        AVDictionaryEntry const* entry = av_dict_get(m_dictionary, "", nullptr, AV_DICT_IGNORE_SUFFIX);
        return entry ? std::optional<std::string>{entry->key} : std::nullopt;
    }

private:
    AVDictionary* m_dictionary = nullptr;
};

/// libav's own words for an error code.
std::string message(int code);
/// "ACTION PATH: why", with the kind that the code means.
Error error(int code, std::string const& action, std::filesystem::path const& path);

/// Where its own clock begins beyond this a film counts from its first packet, whatever its container: recordings of
/// what had run for hours before, which players show from there.
constexpr std::int64_t kFarFromZero = 10 * AV_TIME_BASE;

/// An open input. `zero` is the container's time that is film time 0, in AV_TIME_BASE units.
struct Input {
    std::unique_ptr<std::stop_token> stop; ///< outlives the handle, which calls it back
    /// What its demuxer found to be damaged, so far; likewise.
    std::unique_ptr<std::atomic<std::int64_t>> complaints = std::make_unique<std::atomic<std::int64_t>>(0);
    InputHandle handle;
    std::int64_t zero = 0;
    AVFormatContext* operator->() const { return handle.get(); }
    AVStream* stream(int index) const { return handle->streams[index]; }
    /// `zero` on the clock of a stream.
    std::int64_t zero_ticks(AVStream const* stream) const
    {
        return av_rescale_q(zero, AV_TIME_BASE_Q, stream->time_base);
    }
};

/// Opens a media file for reading and reads its headers. Nothing but a local file of a known media format is opened.
Result<Input> open_input(std::filesystem::path const& path, std::stop_token stop);

/// The same without a look at the packets: for a file whose header says all that is asked of it. `zero` is not found.
Result<Input> open_container(std::filesystem::path const& path, std::stop_token stop);

/// A damaged index can make every read fail without ever ending.
constexpr int kReadErrorsInARow = 64;

/// Reads no packets of any stream but `wanted`.
void discard_all_but(Input const& input, int wanted);

/// A decoder for one stream, open. It counts pictures that it concealed errors in; the count must outlive it.
Result<CodecHandle> open_decoder(AVStream const* stream, int threads, std::filesystem::path const& path,
                                 std::atomic<std::int64_t>* concealed = nullptr);

FrameHandle make_frame();
PacketHandle make_packet();

/// Whether a time stamp can be one: within three years of 0. Others are damage, and arithmetic with them may overflow.
inline bool is_credible(std::int64_t ticks, AVRational clock)
{
    return std::abs(static_cast<double>(ticks) * av_q2d(clock)) < 1e8;
}

inline Time time_of(std::int64_t ticks, AVRational clock) { return from_ticks(ticks, clock.num, clock.den); }

/// Pixel formats that are Y, Cb, Cr in three planes of 8 or 10 bits: the ones this project works on.
bool is_planar_yuv(AVPixelFormat format);
bool is_grey(AVPixelFormat format);
/// Whether samples use the full range: by their tag, by a format that means it, or grey without a tag (so libswscale
/// writes and reads it).
bool is_full_range(AVPixelFormat format, AVColorRange tag);
/// The planar YUV format that loses least, for one that is not: 4:2:0 for RGB and grey, 10 bits for more than 8.
AVPixelFormat planar_yuv_for(AVPixelFormat format);
PixelLayout layout_of(AVPixelFormat format);

/// Memory for pictures of one shape, which goes round among them. Any thread may take from it and give back.
std::shared_ptr<AVBufferPool> make_picture_pool(AVPixelFormat format, int width, int height);

/// A decoded picture with its place in time, on the clock of its stream, counted from film time 0.
struct Frame {
    FrameHandle handle;
    std::int64_t ticks = 0;
    std::int64_t duration_ticks = 0;
    AVRational clock{1, 1};
    std::shared_ptr<AVBufferPool> copies; ///< where a private copy's memory comes from
};

} // namespace tabard::pipeline::av
