#include "pipeline/desk/view/lesson_view.h"

#include "pipeline/check/check_file.h"
#include "pipeline/cues/finding_line.h"
#include "pipeline/desk/file/file_state.h"
#include "pipeline/listen/listen_codes.h"
#include "pipeline/media/digest.h"
#include "pipeline/media/read/probe.h"

#include <algorithm>
#include <map>
#include <mutex>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

/// The first error as people read it, for a version that cannot be laid out.
std::string why_broken(LessonReading const& reading)
{
    auto const first = std::ranges::find(reading.findings, Severity::error, &Finding::severity);
    return first == reading.findings.end() ? "the file cannot be understood" : first->what;
}

/// A part without a time shows nothing: it lies behind all that the file says, and is over as it begins. Its chart
/// counts in the shapes of the lesson.
void put_untimed_parts_behind(Lesson& lesson, MediaFacts const& film)
{
    Time end = film.duration;
    for (Section const& section : lesson.sections) {
        for (auto const& time : {section.from, section.to})
            end = time ? std::max(end, **time) : end;
        for (Pin const& pin : section.pins)
            end = std::max(end, pin.next_time());
    }
    for (Section& section : lesson.sections)
        if (!section.from && section.pins.empty())
            section.from = section.to = Sourced<Time>{end, section.at};
}

} // namespace

struct FilmHeaders::Kept {
    std::mutex mutex;
    std::map<fs::path, std::pair<FileState, Result<MediaInfo>>> films;
};

FilmHeaders::FilmHeaders() : m_kept(std::make_shared<Kept>()) {}

Result<MediaInfo> FilmHeaders::operator()(fs::path const& film)
{
    std::scoped_lock const lock{m_kept->mutex};
    FileState const now = file_state(film);
    auto found = m_kept->films.find(film);
    if (found == m_kept->films.end() || found->second.first != now)
        found = m_kept->films.insert_or_assign(film, std::pair{now, probe_film(film)}).first;
    return found->second.second;
}

std::string text_digest(std::string_view text) { return Digest{}.add(text).hex(); }

LessonView look_at(std::string text, fs::path const& path, FilmHeaders const& films, LookOf const& look_of,
                   std::shared_ptr<DrawnLesson const> before)
{
    LessonView view;
    view.digest = text_digest(text);
    view.drawn = std::move(before);
    Workspace workspace{{}, films};
    auto written = workspace.read_text(text, path, Charts::timed);
    if (!written) {
        view.broken = written.error().what;
        return view;
    }
    view.file = written->file;
    view.film = written->film;
    CheckRequest quick;
    quick.quick = true;
    quick.other_codes = listen_codes();
    if (auto checked = check_written(*std::move(written), quick))
        view.found = std::move(checked->result);
    auto sketch = workspace.read_text(std::move(text), path, Charts::untimed);
    if (!sketch || !sketch->file.reading.usable()) {
        view.broken = sketch ? why_broken(sketch->file.reading) : sketch.error().what;
        return view;
    }
    put_untimed_parts_behind(*sketch->file.reading.lesson, sketch->film.facts);
    auto opened = as_written(*std::move(sketch), Level::full);
    auto look = look_of(opened);
    if (!look) {
        view.broken = look.error().what;
        return view;
    }
    view.drawn = std::make_shared<DrawnLesson const>(DrawnLesson{view.digest, std::move(opened), *std::move(look)});
    return view;
}

} // namespace tabard::pipeline
