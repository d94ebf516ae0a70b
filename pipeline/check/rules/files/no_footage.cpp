#include "pipeline/check/rules/rules.h"
#include "pipeline/files/near_file.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::string without_full_stop(std::string sentence)
{
    if (sentence.ends_with('.'))
        sentence.pop_back();
    return sentence;
}

std::vector<Finding> find(CheckInput const& input)
{
    if (input.lesson.footage->empty() || (input.film && !input.film_error))
        return {};
    std::error_code ignored;
    if (input.film_error && std::filesystem::exists(*input.lesson.footage, ignored))
        return {kNoFootage.at(input.lesson.footage.at, std::nullopt, without_full_stop(input.film_error->what),
                              "or name another film")};
    bool const there = std::filesystem::exists(*input.lesson.footage, ignored);
    return {kNoFootage.at(input.lesson.footage.at, std::nullopt,
                          fmt::format("the footage {} {}{}", input.lesson.footage->string(),
                                      there ? "cannot be read as a film" : "is not there",
                                      there ? "" : near_file_hint(*input.lesson.footage)),
                          "name it relative to the cue file's folder")};
}

} // namespace

Rule const kNoFootage{
    "no-footage", Severity::error, "footage that is missing, or that nothing can be drawn on",
    "\"footage\" is looked for beside the cue file, unless it is a full path. Without it nothing can be "
    "rendered, and times can only be checked against each other. A file that is no film, cannot be decoded or is too "
    "small to draw on is refused, as by render.",
    find};

} // namespace tabard::pipeline
