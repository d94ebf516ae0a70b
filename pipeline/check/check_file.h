#pragma once
#include "pipeline/check/checker.h"
#include "pipeline/workspace/workspace.h"

#include <functional>
#include <optional>
#include <span>
#include <stop_token>
#include <vector>

namespace tabard::pipeline {

struct CheckRequest {
    bool strict = false;     ///< warnings become errors
    bool quick = false;      ///< look at the film's headers only, not at its sound and pictures
    PictureRequest pictures; ///< how closely to look; its theme stands in where `theme` is not given
    /// Asked for the look of the overlays once the lesson is known, laid out on a film that can be read.
    std::function<Result<overlay::Theme>(Lesson const&, Timeline const&)> theme;
    /// Codes of findings that other folders make; acceptances may name them.
    std::span<FindingCode const> other_codes;
    /// Asked for such findings once the lesson and its film are known; none: nobody looks for them.
    std::function<Result<std::vector<Finding>>(Lesson const&)> sound_findings;
    std::stop_token stop;
};

/// A lesson that was checked, as far as it was understood.
struct CheckedLesson {
    std::optional<Lesson> lesson;
    std::optional<Timeline> timeline;
    std::optional<FilmFacts> film;        ///< none where the footage is missing or no film (which is a finding)
    std::optional<Error> film_error;      ///< why nothing can be rendered on it: what render would say
    bool film_is_there = false;           ///< its pictures and sound may be looked at
    std::optional<PictureFacts> pictures; ///< none where nobody looked, or where they cannot be read
    CheckResult result;
};

/// Runs every rule on a cue file as it was written; what is wrong inside it is a finding. Fails with interrupted, and
/// as what the request asks for.
Result<CheckedLesson> check_written(WrittenLesson written, CheckRequest const& request = {});

/// The same for a lesson that was laid out already. Through a cut whose new film is not there, the cut's length counts.
Result<CheckedLesson> check_opened(OpenedLesson opened, CheckRequest const& request = {});

/// What check_opened() would find with `quick`, in a lesson that was opened for other work.
CheckResult quick_check(OpenedLesson const& opened, std::span<FindingCode const> other_codes);

/// What the rules about charts alone find; parts need no time.
CheckResult check_charts(LessonFile const& file, MediaFacts const& film);

/// Fails with invalid_input where a film of the lesson would show titles alone, which its author has not accepted.
Result<void> check_shows_chords(CheckResult const& result, std::filesystem::path const& cues);

} // namespace tabard::pipeline
