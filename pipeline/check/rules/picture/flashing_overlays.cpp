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
    for (FlashSpan const& flash : input.pictures->survey.film_flashes) {
        auto const cue = first_cue_in(input.timeline, flash.in, flash.out);
        findings.push_back(kFlashingOverlays.at(
            cue ? cue->at : SourcePosition{}, flash.in,
            fmt::format("the overlays flash more than three times a second from {} to {}, on {:.0f} % of the picture",
                        print_time(flash.in, 1), print_time(flash.out, 1), 100 * flash.share),
            "let each cue stay longer: flashing can bring on seizures"));
    }
    return findings;
}

} // namespace

Rule const kFlashingOverlays{
    "flashing-overlays",
    Severity::error,
    "overlays that flash",
    "Fast flashing can bring on seizures in people with photosensitive epilepsy. Measured on the film as it would be "
    "rendered, at every change of an overlay, by WCAG 2.x success criterion 2.3.1: more than three general or red "
    "flashes "
    "in a second, on more than a quarter of any window of a third of the picture's width and height. What "
    "Recommendation "
    "ITU-R BT.1702 refuses is refused as well. This is a check, not a medical assurance.",
    find,
    true};

} // namespace tabard::pipeline
