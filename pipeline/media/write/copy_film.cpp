#include "pipeline/media/write/copy_film.h"

#include "overlay/base/precondition.h"
#include "pipeline/media/write/side_copy.h"

namespace tabard::pipeline {

Result<WriteReport> copy_film(std::filesystem::path const& target, MediaInfo const& source, WriteOptions const& options)
{
    PRECONDITION(source.video);
    TRY_VOID(av::check_target(target, source, options.container));
    TRY_ASSIGN(auto output, av::Output::create(target, options.container, options.stop));
    WriteOptions whole = options;
    whole.from = Time{};
    whole.to.reset();
    MediaInfo every_track = source;
    every_track.video->stream = -1; // the pictures are copied like all else
    WriteReport report;
    TRY_ASSIGN(auto copy, av::SideCopy::open(every_track, whole, output, report.notes));
    TRY_VOID(output.write_header({source.video->clock.num, source.video->clock.den}));
    TRY_VOID(copy.copy_rest(output));
    TRY_ASSIGN(report.bytes, output.finish());
    return report;
}

} // namespace tabard::pipeline
