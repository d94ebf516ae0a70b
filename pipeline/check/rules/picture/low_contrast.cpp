#include "pipeline/check/rules/rules.h"

#include <cmath>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    if (!input.pictures)
        return findings;
    for (TextContrast const& contrast : input.pictures->survey.contrasts) {
        if (contrast.ratio >= overlay::kLeastTextContrast)
            continue;
        Section const& section = input.lesson.sections[static_cast<std::size_t>(contrast.section)];
        findings.push_back(kLowContrast.at(
            section.at, contrast.time,
            fmt::format("in '{}' text stands out from the picture behind it with a contrast of no more than {:.2f}:1",
                        *section.name, std::floor(100 * contrast.ratio) / 100),
            "choose a theme whose cards let less of the picture through, or another \"placement\""));
    }
    return findings;
}

} // namespace

Rule const kLowContrast{"low-contrast",
                        Severity::warning,
                        "text that is hard to read before the footage behind it",
                        "How well text on a see-through card is read depends on what is behind it. Measured "
                        "as WCAG 2.x does (success criterion 1.4.3: 4.5:1), at the worst place of a part: text "
                        "against its card laid over the darkest and the lightest spot of the footage under it, in the "
                        "frames that are looked at. Themes that come with Tabard keep 4.5:1 over anything.",
                        find,
                        true};

} // namespace tabard::pipeline
