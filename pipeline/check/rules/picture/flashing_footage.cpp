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
    for (FlashSpan const& flash : input.pictures->survey.footage_flashes)
        findings.push_back(kFlashingFootage.at(
            input.lesson.footage.at, flash.in,
            fmt::format(
                "the footage itself {} more than three times a second from {} to {}, on {:.0f} % of the picture",
                flash.red ? "flashes red" : "flashes", print_time(flash.in, 1), print_time(flash.out, 1),
                100 * flash.share),
            "cut it out or darken it, and warn people before it: flashing can bring on seizures"));
    return findings;
}

} // namespace

Rule const kFlashingFootage{"flashing-footage",
                            Severity::warning,
                            "footage that flashes",
                            "A lamp or a screen that flickers, or fast cuts: measured as for flashing-overlays. Every "
                            "frame of a few seconds out of "
                            "ten is looked at, from keyframes on; --every-frame looks at all. Where nothing is found "
                            "in the seconds that were "
                            "looked at, flashing elsewhere is still possible.",
                            find,
                            true};

} // namespace tabard::pipeline
