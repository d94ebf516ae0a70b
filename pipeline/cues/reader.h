#pragma once
#include "overlay/base/result.h"
#include "pipeline/cues/cue_document.h"
#include "pipeline/cues/finding.h"
#include "pipeline/cues/lesson.h"

#include <filesystem>
#include <functional>
#include <optional>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// Limits that no honest cue file meets.
constexpr std::size_t kMostCueFileBytes = 16 * 1024 * 1024;
constexpr int kDeepestNesting = 32;
constexpr int kMostCues = 50'000;             ///< sections, cues, pins and bars together
constexpr std::size_t kLongestText = 100'000; ///< bytes of any text, such as a whole part's "bars" or a "note"
constexpr std::size_t kLongestName = 2'000; ///< bytes of a key, a name and whatever else is shown or said in one piece

/// Whether a part with bars must say its time and tempo, or listening is still to find both. Then a part that shows
/// nothing by itself needs no time either.
enum class Charts { timed, untimed };

struct LessonReadOptions {
    /// Asked for the footage's frame rate the first time a label with frames (0:10:05:12) is met and the file does not
    /// say it. None, or no answer: such labels are findings.
    std::function<std::optional<FrameRate>(std::filesystem::path const& footage)> footage_rate;
    Charts charts = Charts::timed;
};

/// A cue file as far as it was understood. `lesson` is there unless the file is no JSON object at all; where
/// `findings` has errors it holds what was sound, so that later checks still run.
struct LessonReading {
    std::optional<Lesson> lesson;
    std::vector<Finding> findings; ///< every problem of the file, in order of place
    bool usable() const;           ///< a lesson, and no finding of error severity
};

/// Fails with not_found or io where the file cannot be read; whatever is wrong inside it is a finding.
Result<LessonReading> read_lesson(std::filesystem::path const& path, LessonReadOptions const& options = {});
/// The same for a text in memory that would stand in `path`.
LessonReading parse_lesson(std::string_view text, std::filesystem::path const& path,
                           LessonReadOptions const& options = {});
/// The lesson of a document that was read from `text` and has been changed since: what stayed, and what was given the
/// place of something that stayed, is reported at its place in `text`.
LessonReading lesson_of_document(JsonValue const& document, std::string_view text, std::filesystem::path const& path,
                                 LessonReadOptions const& options = {});

} // namespace tabard::pipeline
