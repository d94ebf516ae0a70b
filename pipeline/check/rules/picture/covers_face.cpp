#include "pipeline/check/rules/picture/in_the_way.h"
#include "pipeline/check/rules/rules.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    if (!input.pictures)
        return findings;
    for (SectionCover const& section : input.pictures->covers) {
        auto const& cover = section.here();
        if (cover.face < kFaceCovered)
            continue;
        auto const& written = input.lesson.sections[static_cast<std::size_t>(section.section)];
        findings.push_back(
            kCoversFace.at(written.at, cover.face_time,
                           fmt::format("in '{}' the overlays hide {:.0f} % of a face", *written.name, 100 * cover.face),
                           another_corner(section, input.lesson, *input.pictures)));
    }
    return findings;
}

} // namespace

Rule const kCoversFace{"covers-face",
                       Severity::warning,
                       "overlays on a face",
                       "Faces that look at the camera are looked for in keyframes (OpenCV's Haar cascade) and believed "
                       "where two sightings "
                       "agree. Reported where the overlays hide 15 % of one or more (our own limit).",
                       find,
                       true};

} // namespace tabard::pipeline
