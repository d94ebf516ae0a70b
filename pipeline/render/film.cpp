#include "pipeline/render/film.h"

#include "pipeline/render/current_overlay.h"
#include "pipeline/render/damage_note.h"
#include "pipeline/render/film_plan.h"
#include "pipeline/render/film_room.h"
#include "pipeline/render/group_cache.h"
#include "pipeline/render/lost_overlays.h"
#include "pipeline/render/spliced_film.h"

#include <algorithm>
#include <optional>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

class Progress {
public:
    Progress(std::function<void(double)> const& tell, WriteOptions const& write, VideoTrack const& video)
        : m_tell(tell),
          m_from(std::max(write.from, video.start)),
          m_to(std::min(write.to.value_or(video.start + video.duration), video.start + video.duration))
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

/// Several decoder threads conceal damage in an order that is left to chance, one always in the same.
enum class Decoding { fast, repeatable };

/// Lays over and writes what it is given.
class Drawer {
public:
    Drawer(SceneRuns const& runs, Compositor& compositor, FilmWriter& writer)
        : m_runs(runs), m_overlay(runs, compositor), m_writer(writer)
    {
    }
    Result<void> write(DecodedPicture picture)
    {
        for (Time const at : m_runs.repeats(picture.time(), picture.time() + picture.duration()))
            if (auto first = picture.split_off_until(at)) {
                TRY_VOID(write_once(*std::move(first)));
                ++m_repeated;
            }
        return write_once(std::move(picture));
    }
    std::int64_t drawn() const { return m_drawn; }
    std::int64_t repeated() const { return m_repeated; }

private:
    Result<void> write_once(DecodedPicture picture)
    {
        if (SceneOverlay const* const shown =
                m_overlay.on_picture(picture.time(), picture.time() + picture.duration())) {
            shown->blend_onto(picture.writable());
            ++m_drawn;
        }
        return m_writer.write(std::move(picture));
    }

    SceneRuns const& m_runs;
    CurrentOverlay m_overlay;
    FilmWriter& m_writer;
    std::int64_t m_drawn = 0;
    std::int64_t m_repeated = 0;
};

// The pictures of [from, to). False where damage was concealed fast.
Result<bool> write_pictures(MediaReader& reader, Decoding decoding, Drawer& drawer, WriteOptions const& write,
                            Progress const& progress)
{
    if (write.from > Time{0})
        TRY_VOID(reader.seek(write.from));
    while (true) {
        TRY_ASSIGN(auto picture, reader.next());
        if (decoding == Decoding::fast && reader.damage().concealed_pictures > 0)
            return false;
        if (!picture || (write.to && picture->time() >= *write.to))
            return true;
        if (picture->time() < write.from)
            continue;
        progress.at(picture->time());
        TRY_VOID(drawer.write(*std::move(picture)));
    }
}

// None where damage was concealed fast.
Result<std::optional<FilmReport>> write_whole(FilmJob const& job, CodedFilm film, Decoding decoding,
                                              WriteOptions const& write, std::filesystem::path const& target)
{
    ReadOptions reading;
    reading.threads = decoding == Decoding::fast ? 0 : 1;
    reading.scaled = job.scaled;
    reading.stop = write.stop;
    TRY_ASSIGN(MediaReader reader, MediaReader::open(std::move(film), reading));
    VideoTrack video = reader.video();
    video.stored = job.scaled.value_or(video.stored);
    TRY_ASSIGN(Compositor compositor, Compositor::create(video, job.look));
    TRY_ASSIGN(FilmWriter writer, FilmWriter::create(target, reader.info(), write));

    FilmReport report;
    Progress const progress(job.progress, write, video);
    Drawer drawer(job.runs, compositor, writer);
    TRY_ASSIGN(bool const done, write_pictures(reader, decoding, drawer, write, progress));
    if (!done)
        return std::optional<FilmReport>{};
    report.drawn_pictures = drawer.drawn();
    if (auto const wrong = compositor.failure())
        return *wrong;
    TRY_ASSIGN(WriteReport const written, writer.finish());
    report.pictures = written.pictures;
    report.bytes = written.bytes;
    report.damage = reader.damage();
    report.notes = reader.info().notes;
    report.notes.insert(report.notes.end(), written.notes.begin(), written.notes.end());
    if (drawer.repeated() > 0)
        report.notes.push_back(fmt::format("{} frame{} shown again: overlays change while one of the film's "
                                           "frames stays on screen.",
                                           drawer.repeated(), drawer.repeated() == 1 ? " is" : "s are"));
    return std::optional(std::move(report));
}

// What only says that splicing will not do; a disk that is full would be full again.
bool can_fall_back(Error const& error)
{
    return error.kind == ErrorKind::unsupported || error.kind == ErrorKind::decode;
}

std::int64_t bytes_of(std::filesystem::path const& path)
{
    std::error_code unknown;
    auto const bytes = std::filesystem::file_size(path, unknown);
    return unknown ? 0 : static_cast<std::int64_t>(bytes);
}

// How much of the film is wanted, 0 to 1.
double share_of(WriteOptions const& write, VideoTrack const& video)
{
    Time const end = video.start + video.duration;
    Time const part = std::min(write.to.value_or(end), end) - std::max(write.from, video.start);
    return video.duration > Time{0} ? std::clamp(to_seconds(part) / to_seconds(video.duration), 0.0, 1.0) : 1;
}

Result<FilmReport> write_planned(FilmJob const& job, CodedFilm film, FilmPlan const& plan, GroupCache* cache,
                                 FilmRoom& room, std::filesystem::path const& target)
{
    WriteOptions write = job.write;
    write.stop = job.stop;
    std::string why_whole = plan.why_whole;
    if (plan.source) {
        SplicedFilmOptions const options{job.look, write, bytes_of(job.footage), cache, job.allowance, job.progress};
        auto spliced = write_spliced(film, plan, options, room, target);
        if (spliced || !can_fall_back(spliced.error()))
            return spliced;
        why_whole = spliced.error().what;
    }
    if (job.method == Method::splice_only)
        return Error{ErrorKind::unsupported, fmt::format("'{}' cannot be made by copying what no overlay touches: {}",
                                                         job.target.string(), why_whole)};
    if (!job.scaled)
        room.need(
            static_cast<std::int64_t>(static_cast<double>(bytes_of(job.footage)) * share_of(write, film.video())));
    TRY_ASSIGN(auto report, write_whole(job, std::move(film), Decoding::fast, write, target));
    if (!report) {
        TRY_ASSIGN(CodedFilm again, CodedFilm::open(job.footage, job.stop));
        TRY_ASSIGN(report, write_whole(job, std::move(again), Decoding::repeatable, write, target));
    }
    report->why_whole = why_whole;
    return *std::move(report);
}

Result<FilmReport> write_film(FilmJob const& job, GroupCache* cache, FilmRoom& room,
                              std::filesystem::path const& target)
{
    TRY_ASSIGN(CodedFilm film, CodedFilm::open(job.footage, job.stop));
    std::vector<FilmFlaw> flaws;
    TRY_ASSIGN(FilmPlan const plan, plan_film(job, film, &flaws));
    TRY_ASSIGN(auto report, write_planned(job, std::move(film), plan, cache, room, target));
    if (auto damage = note_of_damage(job, std::move(flaws)))
        report.notes.push_back(*std::move(damage));
    return report;
}

} // namespace

Result<FilmPlan> plan_film(FilmJob const& job, CodedFilm& film, std::vector<FilmFlaw>* flaws)
{
    TRY_VOID(check_overlays_reach(job, film.info()));
    if (job.method != Method::whole && !job.scaled)
        return plan_film(film, job.write, job.runs, flaws);
    if (flaws) {
        TRY_ASSIGN(*flaws, find_flaws(film));
    }
    FilmPlan plan;
    plan.whole_time = film.video().duration;
    plan.why_whole = job.method == Method::whole ? "" : "a draft has another size";
    return plan;
}

Result<FilmPlan> plan_film(FilmJob const& job)
{
    TRY_ASSIGN(CodedFilm film, CodedFilm::open(job.footage, job.stop));
    return plan_film(job, film);
}

Result<FilmReport> render_film(FilmJob const& job)
{
    Inputs inputs = job.inputs;
    inputs.add(job.footage);
    TRY_ASSIGN(OutputFile file, OutputFile::create(job.target, job.existing, inputs));
    auto cache = job.cache ? std::optional<GroupCache>(*job.cache) : std::nullopt;
    GroupCache* const kept = cache ? &*cache : nullptr;
    FilmRoom room(file.path(), kept);
    auto report = make_in_room(room, [&] { return write_film(job, kept, room, file.path()); });
    if (!report)
        return file.said_of_target(report.error());
    if (auto note = note_of_empty_part(job))
        report->notes.push_back(*std::move(note));
    report->why_whole = file.said_of_target({ErrorKind::unsupported, report->why_whole}).what;
    TRY_VOID(file.commit());
    return report;
}

} // namespace tabard::pipeline
