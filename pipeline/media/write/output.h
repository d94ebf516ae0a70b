#pragma once
// A film file being written. Included by this folder's .cpp files alone.
#include "pipeline/media/av.h"
#include "pipeline/media/media_info.h"
#include "pipeline/media/write/encoder_settings.h"

namespace tabard::pipeline::av {

/// MP4 and MOV: exact clocks, edit lists, display matrices.
bool is_mov_family(Container container);

struct OutputReleaser {
    void operator()(AVFormatContext* context) const noexcept;
};

struct Output {
    std::filesystem::path path;
    Container container = Container::mp4;
    std::unique_ptr<std::stop_token> stop; ///< outlives the handle, which calls it back
    std::unique_ptr<AVFormatContext, OutputReleaser> handle;

    AVFormatContext* operator->() const { return handle.get(); }
    AVStream* stream(int index) const { return handle->streams[index]; }

    /// Errors: io if the file cannot be made.
    static Result<Output> create(std::filesystem::path const& path, Container container, std::stop_token stop);
    AVStream* add_stream();
    /// `clock`: that of the film; MP4 and MOV state late starts on it.
    Result<void> write_header(AVRational clock);
    /// Takes the packet's contents; its times are on the clock of its stream.
    Result<void> put(AVPacket* packet);
    /// The same for a packet that was copied: false where it, or one before it, is no whole packet of its codec.
    Result<bool> offer(AVPacket* packet);
    /// Writes what is still to write; gives the size in bytes. Errors: io; decode where the file cannot be opened
    /// again.
    Result<std::int64_t> finish();

private:
    void count_from_codec_delay(AVPacket* packet) const;
    Error write_error(int code) const;
    Error unreadable() const;
};

/// The target can hold this film and is not the film itself.
Result<void> check_target(std::filesystem::path const& target, MediaInfo const& source, Container container);

} // namespace tabard::pipeline::av
