#include "pipeline/media/write/copy_film.h"

#include "overlay/base/precondition.h"
#include "pipeline/media/write/encoder.h"
#include "pipeline/media/write/side_copy.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

Result<void> check_pictures(std::filesystem::path const& target, VideoTrack const& video, Container container)
{
    AVCodecDescriptor const* const codec = avcodec_descriptor_get_by_name(video.codec.c_str());
    if (codec && av::can_hold(container, codec->id))
        return {};
    return Error{ErrorKind::unsupported,
                 fmt::format("{}: {} cannot hold the film's pictures ({}); write another kind of file", target.string(),
                             name(container), video.codec)};
}

} // namespace

Result<WriteReport> copy_film(std::filesystem::path const& target, MediaInfo const& source, WriteOptions const& options)
{
    PRECONDITION(source.video);
    TRY_VOID(av::check_target(target, source, options.container));
    TRY_VOID(check_pictures(target, *source.video, options.container));
    TRY_ASSIGN(auto output, av::Output::create(target, options.container, options.stop));
    WriteOptions whole = options;
    whole.from = Time{};
    whole.to.reset();
    MediaInfo every_track = source;
    every_track.video->stream = -1; // the pictures are copied like all else
    WriteReport report;
    TRY_ASSIGN(auto copy, av::SideCopy::open(every_track, whole, output));
    TRY_VOID(output.write_header({source.video->clock.num, source.video->clock.den}));
    TRY_VOID(copy.copy_rest(output));
    report.notes = copy.notes();
    report.pictures = copy.packets_of(source.video->stream);
    if (report.pictures == 0)
        return Error{ErrorKind::decode, fmt::format("{}: not one picture can be read", source.path.string())};
    TRY_ASSIGN(report.bytes, output.finish());
    return report;
}

} // namespace tabard::pipeline
