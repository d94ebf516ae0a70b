#include "pipeline/render/film.h"

#include "pipeline/media/read/probe.h"
#include "pipeline/render/current_overlay.h"
#include "pipeline/render/film_plan.h"
#include "pipeline/render/lost_overlays.h"
#include "pipeline/render/spliced_film.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

class Progress {
public:
    Progress(FilmJob const& job, VideoTrack const& video)
        : m_tell(job.progress),
          m_from(std::max(job.write.from, video.start)),
          m_to(std::min(job.write.to.value_or(video.start + video.duration), video.start + video.duration))
    {
    }
    void at(Time time) const
    {
        if (m_tell && m_to > m_from)
            m_tell(std::clamp(to_seconds(time - m_from) / to_seconds(m_to - m_from), 0.0, 1.0));
    }

private:
    std::function<void(double)> const& m_tell;
    Time m_from;
    Time m_to;
};

Result<void> write_pictures(FilmJob const& job, MediaReader& reader, FilmWriter& writer, Compositor& compositor,
                            FilmReport& report)
{
    CurrentOverlay overlay(job.runs, compositor);
    Progress const progress(job, reader.video());
    if (job.write.from > Time{0})
        TRY_VOID(reader.seek(job.write.from));
    while (true) {
        TRY_ASSIGN(auto picture, reader.next());
        if (!picture || (job.write.to && picture->time() >= *job.write.to))
            return {};
        if (picture->time() < job.write.from)
            continue;
        progress.at(picture->time());
        if (SceneOverlay const* const shown =
                overlay.on_picture(picture->time(), picture->time() + picture->duration())) {
            shown->blend_onto(picture->writable());
            ++report.drawn_pictures;
        }
        TRY_VOID(writer.write(*std::move(picture)));
    }
}

Result<FilmReport> write_whole(FilmJob const& job, std::filesystem::path const& target)
{
    ReadOptions reading;
    reading.scaled = job.scaled;
    reading.stop = job.stop;
    TRY_ASSIGN(MediaReader reader, MediaReader::open(job.footage, reading));
    VideoTrack video = reader.video();
    video.stored = job.scaled.value_or(video.stored);
    TRY_ASSIGN(Compositor compositor, Compositor::create(video, job.look));
    WriteOptions options = job.write;
    options.stop = job.stop;
    TRY_ASSIGN(FilmWriter writer, FilmWriter::create(target, reader.info(), options));

    FilmReport report;
    TRY_VOID(write_pictures(job, reader, writer, compositor, report));
    TRY_ASSIGN(WriteReport const written, writer.finish());
    report.pictures = written.pictures;
    report.bytes = written.bytes;
    report.damage = reader.damage();
    report.notes = reader.info().notes;
    report.notes.insert(report.notes.end(), written.notes.begin(), written.notes.end());
    return report;
}

// What only says that splicing will not do; a disk that is full would be full again.
bool can_fall_back(Error const& error)
{
    return error.kind == ErrorKind::unsupported || error.kind == ErrorKind::decode;
}

Result<FilmReport> write_film(FilmJob const& job, std::filesystem::path const& target)
{
    TRY_ASSIGN(FilmPlan const plan, plan_film(job));
    std::string why_whole = plan.why_whole;
    if (plan.source) {
        auto spliced = write_spliced(job, plan, target);
        if (spliced || !can_fall_back(spliced.error()))
            return spliced;
        why_whole = spliced.error().what;
    }
    if (job.method == Method::splice_only)
        return Error{ErrorKind::unsupported, fmt::format("'{}' cannot be made by copying what no overlay touches: {}",
                                                         job.target.string(), why_whole)};
    TRY_ASSIGN(FilmReport report, write_whole(job, target));
    report.why_whole = why_whole;
    return report;
}

} // namespace

Result<FilmReport> render_film(FilmJob const& job)
{
    Inputs inputs = job.inputs;
    inputs.add(job.footage);
    TRY_ASSIGN(OutputFile file, OutputFile::create(job.target, job.existing, inputs));
    auto report = write_film(job, file.path());
    if (!report)
        return file.said_of_target(report.error());
    if (auto note = note_of_empty_part(job))
        report->notes.push_back(*std::move(note));
    report->why_whole = file.said_of_target({ErrorKind::unsupported, report->why_whole}).what;
    TRY_VOID(file.commit());
    return report;
}

} // namespace tabard::pipeline
