#pragma once
#include "pipeline/files/inputs.h"
#include "pipeline/workspace/cut_request.h"
#include "pipeline/workspace/opened_lesson.h"

#include <filesystem>
#include <functional>
#include <map>
#include <stop_token>
#include <string>

namespace tabard::pipeline {

/// Which lesson, on which film.
struct LessonRequest {
    std::filesystem::path cues;
    CutRequest through;            ///< seen through this cut; its `cut` empty: as it was written
    std::filesystem::path footage; ///< the film after the cut; empty: not known
    Level level = Level::full;
    /// Asked before a cut is sought in sound and pictures, which is long work: whether the command may write where it
    /// is to. It gets all inputs but the theme. Empty: yes.
    std::function<Result<void>(Inputs const&)> may_write = {};
};

/// What one command works on. Each film's headers are read once, however often they are asked for, and every file that
/// is read is remembered as an input: nothing may be written to it.
class Workspace {
public:
    using Probe = std::function<Result<MediaInfo>(std::filesystem::path const&)>;
    explicit Workspace(std::stop_token stop = {});
    /// For tests, which count.
    Workspace(std::stop_token stop, Probe probe);

    /// A cue file as it was written. Fails with not_found or io where it cannot be read, and with interrupted; what is
    /// wrong inside is in its findings, and a film that is missing in film.error.
    Result<WrittenLesson> read(std::filesystem::path const& cues, Charts charts = Charts::timed);
    /// The same for a text that would stand in `cues`. Fails with interrupted.
    Result<WrittenLesson> read_text(std::string text, std::filesystem::path const& cues, Charts charts = Charts::timed);

    /// A lesson without errors on its film. Fails as read(), check_usable(), may_write and read_cut(). A film that is
    /// missing is no failure: sheets and checks can do without.
    Result<OpenedLesson> open(LessonRequest const& request);

    /// The cut as its list says it; or, where it is given as the new film, as its sound or its pictures tell. Fails as
    /// the function of that name in retime/cut_file.h, or as match_cut().
    Result<CutReading> read_cut(CutRequest const& request, KnownFilm const& footage);

    /// Whether the cut is given as the new film.
    bool names_film(CutRequest const& request);

    /// As probe_film().
    Result<MediaInfo> const& headers(std::filesystem::path const& film);

    /// One more file that the command reads; best before it is opened.
    void add_input(std::filesystem::path const& file) { m_inputs.add(file); }
    Inputs const& inputs() const { return m_inputs; }

private:
    Result<void> check_no_film(std::filesystem::path const& cues);
    Result<KnownFilm> film_of(Lesson const& lesson);
    LessonReadOptions read_options(Charts charts);
    Result<WrittenLesson> on_film(LessonFile file);
    Result<OpenedLesson> see_through(WrittenLesson written, LessonRequest const& request);
    Result<CutReading> match(CutRequest const& request, KnownFilm const& footage);

    std::stop_token m_stop;
    Probe m_probe;
    std::map<std::filesystem::path, Result<MediaInfo>> m_headers; ///< by the file's real path
    Inputs m_inputs;
};

} // namespace tabard::pipeline
