#pragma once
#include "pipeline/check/charts_in_time.h"
#include "pipeline/check/film_facts.h"
#include "pipeline/check/picture/picture_facts.h"
#include "pipeline/cues/finding_code.h"
#include "pipeline/cues/lesson.h"
#include "pipeline/timeline/timeline.h"

#include <span>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// What a rule looks at. Borrowed.
struct CheckInput {
    Lesson const& lesson;
    Timeline const& timeline;
    FilmFacts const* film = nullptr;        ///< none where the footage cannot be read
    PictureFacts const* pictures = nullptr; ///< none where nobody looked at them
    Error const* film_error = nullptr;      ///< why nothing can be rendered on the footage, where that is known
    ChartsInTime const* charts = nullptr;   ///< where some say no time: what rules about charts look at instead
    bool broken = false;                    ///< the reader found errors: what is missing may stand in what it left out
};

/// One thing that the checker knows: a code and how it is found. Each has a file of its own in rules/ (those of the
/// reader stand together in reader_codes.cpp), a pair of cue files in tests/data/check/ (one that shows it once, a
/// neighbour that does not) and a row in README.md.
struct Rule : FindingCode {
    /// None for what the reader finds itself.
    std::vector<Finding> (*find)(CheckInput const&) = nullptr;

    /// Finds nothing without CheckInput::pictures.
    bool looks_at_pictures = false;

    /// Its findings hold wherever in time a chart is played: it is given charts without a time as well.
    bool about_charts = false;
};

/// Every rule, in the order of README.md's table.
std::span<Rule const* const> all_rules();
Rule const* find_rule(std::string_view code); ///< null where there is none

/// Two cues that end and begin within this of each other touch: less than a picture at 25 a second.
constexpr Time kTouching = from_ticks(1, 1, 25) - Time{1};

} // namespace tabard::pipeline
