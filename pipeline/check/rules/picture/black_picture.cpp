#include "pipeline/check/rules/picture/in_the_way.h"
#include "pipeline/check/rules/rules.h"
#include "pipeline/time/timecode.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    if (!input.pictures)
        return findings;
    for (FilmSpan const& black : input.pictures->survey.black)
        if (auto const cue = first_cue_in(input.timeline, black.in, black.out))
            findings.push_back(
                kBlackPicture.at(cue->at, std::max(black.in, cue->in),
                                 fmt::format("the film is black from {} to {} while {} is shown",
                                             print_time(black.in, 1), print_time(black.out, 1), cue->what),
                                 "cut the black out, or move the cue to where there is a picture"));
    return findings;
}

} // namespace

Rule const kBlackPicture{"black-picture",
                         Severity::warning,
                         "a cue over black frames",
                         "The footage shows nothing for half a second or more while something is to be played or read: "
                         "a lens cap, a gap in the "
                         "edit, or times that belong to another film. Looked for in keyframes, and between them where "
                         "coded frames are so small that nothing can change in them.",
                         find,
                         true};

} // namespace tabard::pipeline
