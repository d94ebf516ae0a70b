#include "pipeline/media/write/copy_film.h"

#include "overlay/base/precondition.h"
#include "pipeline/media/write/add_tracks.h"
#include "pipeline/media/write/encoder.h"
#include "pipeline/media/write/side_copy.h"

#include <algorithm>
#include <vector>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

Result<void> check_pictures(std::filesystem::path const& target, VideoTrack const& video, Container container,
                            char const* way_out)
{
    AVCodecDescriptor const* const codec = avcodec_descriptor_get_by_name(video.codec.c_str());
    if (codec && av::can_hold(container, codec->id))
        return {};
    return Error{ErrorKind::unsupported, fmt::format("{}: {} cannot hold the film's frames ({}); {}", target.string(),
                                                     name(container), video.codec, way_out)};
}

struct DueEvent {
    AddedCaptions::Event const* event;
    int stream;
};

std::vector<DueEvent> events_in_order(AddedTracks const& added, int first_stream)
{
    std::vector<DueEvent> all;
    for (AddedCaptions const& captions : added.captions) {
        for (auto const& event : captions.events)
            all.push_back({&event, first_stream});
        ++first_stream;
    }
    std::ranges::stable_sort(all, {}, [](DueEvent const& due) { return due.event->in; });
    return all;
}

// Each event among the packets that are due with it.
Result<void> put_events(AddedTracks const& added, int first_stream, av::SideCopy& copy, av::Output& output,
                        std::function<void(Time)> const& progress)
{
    for (DueEvent const& due : events_in_order(added, first_stream)) {
        TRY_VOID(copy.copy_until(output, due.event->in));
        TRY_VOID(av::put_event(*due.event, due.stream, output));
        if (progress)
            progress(due.event->in);
    }
    return {};
}

} // namespace

Result<WriteReport> copy_film(std::filesystem::path const& target, MediaInfo const& source, WriteOptions const& options,
                              AddedTracks const& added, std::function<void(Time)> const& progress)
{
    PRECONDITION(source.video);
    TRY_VOID(av::check_target(target, source, options.container));
    TRY_VOID(check_pictures(target, *source.video, options.container,
                            added.empty() ? "write another kind of file" : "such film has to be encoded: render it"));
    TRY_ASSIGN(auto output, av::Output::create(target, options.container, options.stop));
    WriteOptions whole = options;
    whole.from = Time{};
    whole.to.reset();
    MediaInfo every_track = source;
    every_track.video->stream = -1; // the pictures are copied like all else
    WriteReport report;
    TRY_ASSIGN(auto copy, av::SideCopy::open(every_track, whole, output));
    av::CopyProof proof;
    if (!added.empty())
        copy.prove_with(proof, output);
    int const first_added = static_cast<int>(output->nb_streams);
    for (std::string& note : av::add_tracks(added, output))
        report.notes.push_back(std::move(note));
    TRY_VOID(output.write_header({source.video->clock.num, source.video->clock.den}));
    TRY_VOID(put_events(added, first_added, copy, output, progress));
    TRY_VOID(copy.copy_rest(output));
    auto const notes = copy.notes();
    report.notes.insert(report.notes.begin(), notes.begin(), notes.end());
    report.whole_sound = copy.whole_sound();
    report.pictures = copy.packets_of(source.video->stream);
    if (report.pictures == 0)
        return Error{ErrorKind::decode, fmt::format("{}: not one frame can be read", source.path.string())};
    TRY_ASSIGN(report.bytes, output.finish());
    if (!added.empty())
        TRY_VOID(proof.check(target, options.stop));
    return report;
}

} // namespace tabard::pipeline
