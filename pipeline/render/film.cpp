#include "pipeline/render/film.h"

#include <algorithm>

namespace tabard::pipeline {
namespace {

// Remembers the overlay of the run that was asked for last: pictures come in order, so it changes only with the scene.
class CurrentOverlay {
public:
    CurrentOverlay(SceneRuns const& runs, Compositor& compositor) : m_runs(runs), m_compositor(compositor) {}

    /// Null where nothing is shown.
    SceneOverlay const* at(Time time)
    {
        SceneRun const* const run = m_runs.at(time);
        if (run && run != m_run)
            m_overlay = m_compositor.prepare(run->scene);
        m_run = run ? run : m_run;
        return run ? &m_overlay : nullptr;
    }

private:
    SceneRuns const& m_runs;
    Compositor& m_compositor;
    SceneRun const* m_run = nullptr;
    SceneOverlay m_overlay;
};

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
        if (SceneOverlay const* const shown = overlay.at(picture->time())) {
            shown->blend_onto(picture->writable());
            ++report.drawn_pictures;
        }
        TRY_VOID(writer.write(*std::move(picture)));
    }
}

} // namespace

Result<FilmReport> render_whole(FilmJob const& job)
{
    std::vector<std::filesystem::path> inputs = job.inputs;
    inputs.push_back(job.footage);
    TRY_ASSIGN(PendingFile file, PendingFile::create(job.target, job.existing, inputs));
    ReadOptions reading;
    reading.scaled = job.scaled;
    reading.stop = job.stop;
    TRY_ASSIGN(MediaReader reader, MediaReader::open(job.footage, reading));
    TRY_ASSIGN(Compositor compositor, Compositor::create(reader.video(), job.look));
    WriteOptions options = job.write;
    options.stop = job.stop;
    TRY_ASSIGN(FilmWriter writer, FilmWriter::create(file.path(), reader.info(), options));

    FilmReport report;
    TRY_VOID(write_pictures(job, reader, writer, compositor, report));
    TRY_ASSIGN(WriteReport const written, writer.finish());
    TRY_VOID(file.commit());
    report.pictures = written.pictures;
    report.bytes = written.bytes;
    report.damage = reader.damage();
    report.notes = reader.info().notes;
    report.notes.insert(report.notes.end(), written.notes.begin(), written.notes.end());
    return report;
}

} // namespace tabard::pipeline
