#include "pipeline/check/rules/rules.h"
#include "pipeline/media/read/film_flaws.h"

#include <optional>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<std::string> what;
    std::optional<Time> first;
    if (input.film && !input.film->flaws.empty()) {
        what.push_back(words_for(input.film->flaws));
        first = input.film->flaws.front().from;
    }
    if (auto const damaged = input.pictures ? input.pictures->survey.damaged_pictures : 0; damaged > 0)
        what.push_back(words_for_undecoded(damaged));
    if (what.empty())
        return {};
    return {kDamagedFootage.at(input.lesson.footage.at, first, fmt::format("{}", fmt::join(what, "; ")),
                               "copy the film again from the camera, or cut the place out")};
}

} // namespace

Rule const kDamagedFootage{
    "damaged-footage", Severity::warning, "footage with frames that are missing or damaged",
    "Seen without decoding: what the file's own structure lacks, bytes that no coded frame has, and gaps in the "
    "numbers of H.264 frames. A long frame alone is none. Render says the same, and copies what no overlay touches "
    "as it is. Other noise inside a frame shows only where it is decoded: here in keyframes, with --every-frame in "
    "all.",
    find};

} // namespace tabard::pipeline
