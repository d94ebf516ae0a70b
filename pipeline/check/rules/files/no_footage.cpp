#include "pipeline/check/rules/rules.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    if (input.film || input.lesson.footage->empty())
        return {};
    std::error_code ignored;
    bool const there = std::filesystem::exists(*input.lesson.footage, ignored);
    return {kNoFootage.at(input.lesson.footage.at, std::nullopt,
                          fmt::format("the footage {} {}", input.lesson.footage->string(),
                                      there ? "cannot be read as a film" : "is not there"),
                          "name it relative to the cue file's folder")};
}

} // namespace

Rule const kNoFootage{
    "no-footage", Severity::error, "footage that is missing or no film",
    "\"footage\" is looked for beside the cue file, unless it is a full path. Without it nothing can be "
    "rendered, and times can only be checked against each other.",
    find};

} // namespace tabard::pipeline
