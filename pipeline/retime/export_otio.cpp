#include "overlay/base/utf8.h"
#include "pipeline/retime/export.h"
#include "pipeline/time/timecode.h"

#include <algorithm>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace tabard::pipeline {
namespace {

using Json = nlohmann::ordered_json;

/// Frames of the film's rate; whole where the time is a frame's, exact to far below a flick where it is not.
Json rational_time(Time time, FrameRate rate)
{
    double const frames =
        static_cast<double>(time.count()) * rate.num / (static_cast<double>(kFlicksPerSecond) * rate.den);
    std::int64_t const whole = to_ticks(time, rate.den, rate.num);
    bool const exact = from_frame(whole, rate) == time;
    return {{"OTIO_SCHEMA", "RationalTime.1"},
            {"rate", static_cast<double>(rate.num) / rate.den},
            {"value", exact ? static_cast<double>(whole) : frames}};
}

Json time_range(Interval interval, FrameRate rate)
{
    return {{"OTIO_SCHEMA", "TimeRange.1"},
            {"start_time", rational_time(interval.from, rate)},
            {"duration", rational_time(interval.length(), rate)}};
}

Json gap(Time length, FrameRate rate)
{
    return {{"OTIO_SCHEMA", "Gap.1"}, {"name", ""}, {"source_range", time_range({Time{0}, length}, rate)}};
}

Json track(std::string const& name, bool enabled, Json children)
{
    return {
        {"OTIO_SCHEMA", "Track.1"}, {"name", name}, {"kind", "Video"}, {"enabled", enabled}, {"children", children}};
}

/// The time that the footage's own timecode gives its first picture.
Time footage_start(ExportJob const& job)
{
    auto const label = timecode_frame(job.footage_label, job.rate);
    return label ? from_frame(*label, job.rate) : Time{0};
}

Json footage(ExportJob const& job)
{
    Json reference{{"OTIO_SCHEMA", "ExternalReference.1"}, {"target_url", job.footage}};
    Time const start = footage_start(job);
    if (job.footage_length > Time{0})
        reference["available_range"] = time_range({start, start + job.footage_length}, job.rate);
    return reference;
}

Json film_clip(ExportJob const& job, KeptSpan const& span)
{
    Time const from = footage_start(job) + span.source.from;
    Json clip{{"OTIO_SCHEMA", "Clip.2"},
              {"name", on_one_line(job.footage.substr(job.footage.find_last_of("/\\") + 1))},
              {"source_range", time_range({from, from + span.target.length()}, job.rate)},
              {"media_references", {{"DEFAULT_MEDIA", footage(job)}}},
              {"active_media_reference_key", "DEFAULT_MEDIA"}};
    if (span.motion == Motion::freeze) {
        clip["effects"] = Json::array({{{"OTIO_SCHEMA", "FreezeFrame.1"}, {"time_scalar", 0}}});
    } else if (span.motion == Motion::reverse || span.source.length() != span.target.length()) {
        double const speed =
            static_cast<double>(span.source.length().count()) / static_cast<double>(span.target.length().count());
        clip["effects"] = Json::array(
            {{{"OTIO_SCHEMA", "LinearTimeWarp.1"}, {"time_scalar", span.motion == Motion::reverse ? -speed : speed}}});
    }
    return clip;
}

Json film_track(ExportJob const& job)
{
    Json children = Json::array();
    Time at{0};
    for (KeptSpan const& span : job.cut.spans()) {
        if (span.target.from > at)
            children.push_back(gap(span.target.from - at, job.rate));
        children.push_back(film_clip(job, span));
        at = span.target.to;
    }
    if (job.length > at)
        children.push_back(gap(job.length - at, job.rate));
    return track("film", true, std::move(children));
}

Json metadata(ExportCue const& cue)
{
    Json about{{"kind", cue_kind_name(cue.kind)}, {"section", on_one_line(cue.section)}};
    if (cue.bar > 0)
        about["bar"] = cue.bar;
    return {{"tabard", about}};
}

/// The cues of one kind end to end; where two overlap, the later one shows from its start on, as in the film.
Json cue_track(ExportJob const& job, CueKind kind)
{
    std::vector<ExportCue> cues;
    std::ranges::copy_if(job.cues, std::back_inserter(cues), [&](ExportCue const& cue) { return cue.kind == kind; });
    Json children = Json::array();
    Time at{0};
    for (std::size_t i = 0; i < cues.size(); ++i) {
        Time const from = std::max(cues[i].on_screen.from, at);
        Time const next = i + 1 < cues.size() ? cues[i + 1].on_screen.from : cues[i].on_screen.to;
        Time const to = std::min(cues[i].on_screen.to, next);
        if (to <= from)
            continue;
        if (from > at)
            children.push_back(gap(from - at, job.rate));
        children.push_back({{"OTIO_SCHEMA", "Clip.2"},
                            {"name", on_one_line(cues[i].name)},
                            {"metadata", metadata(cues[i])},
                            {"source_range", time_range({Time{0}, to - from}, job.rate)},
                            {"media_references", {{"DEFAULT_MEDIA", {{"OTIO_SCHEMA", "MissingReference.1"}}}}},
                            {"active_media_reference_key", "DEFAULT_MEDIA"}});
        at = to;
    }
    // Disabled: they say where the cues are and lay nothing over the film.
    return track(fmt::format("tabard {}s", cue_kind_name(kind)), false, std::move(children));
}

Json markers(ExportJob const& job)
{
    Json list = Json::array();
    for (ExportCue const& cue : job.cues)
        list.push_back({{"OTIO_SCHEMA", "Marker.2"},
                        {"name", on_one_line(cue.name)},
                        {"color", marker_colour(cue.kind)},
                        {"marked_range", time_range(cue.on_screen, job.rate)},
                        {"metadata", metadata(cue)}});
    return list;
}

} // namespace

Exported export_otio(ExportJob const& job)
{
    Json tracks = Json::array({film_track(job)});
    for (CueKind const kind : kCueKinds)
        if (std::ranges::find(job.cues, kind, &ExportCue::kind) != job.cues.end())
            tracks.push_back(cue_track(job, kind));
    Json const document{
        {"OTIO_SCHEMA", "Timeline.1"},
        {"name", on_one_line(job.title)},
        {"global_start_time", nullptr},
        {"tracks", {{"OTIO_SCHEMA", "Stack.1"}, {"name", "tracks"}, {"markers", markers(job)}, {"children", tracks}}}};
    return {document.dump(1, ' ', false, Json::error_handler_t::replace) + "\n",
            {"otio holds what is shown and when; how it is drawn stays with the cue file"}};
}

} // namespace tabard::pipeline
