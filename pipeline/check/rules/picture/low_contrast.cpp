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
                        "text that can hardly be told from the footage behind it",
                        "Cards that let the footage through are as legible as what happens to be behind them. Measured "
                        "as WCAG 2.x does (success criterion 1.4.3: 4.5:1), at the worst place of a section: text "
                        "against its card laid over the darkest and the lightest spot of the footage under it, in the "
                        "pictures that are looked at. Themes that come with Tabard keep 4.5:1 over anything.",
                        find,
                        true};

} // namespace tabard::pipeline
