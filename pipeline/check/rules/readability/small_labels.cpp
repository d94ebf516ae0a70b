#include "overlay/drawing/bar_fit.h"
#include "overlay/drawing/text_fit.h"
#include "pipeline/check/rules/rules.h"
#include "pipeline/timeline/ribbon_bars.h"

#include <algorithm>
#include <map>
#include <set>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr int kBarsToSee = 3; ///< the one that is played and two ahead

/// Chord names that end with an ellipsis, each once.
void find_names(CheckInput const& input, overlay::Stage stage, std::vector<Finding>& findings)
{
    std::map<int, overlay::Corner> corners;
    for (SectionSpan const& span : input.timeline.sections())
        corners[span.section] = span.corner;
    std::set<std::string_view> looked_at;
    for (ChordSpan const& chord : input.timeline.chords()) {
        if (chord.name.empty() || !looked_at.insert(chord.name).second)
            continue;
        stage.corner = corners[chord.section];
        if (!overlay::name_fits(input.lesson.label(chord.name), stage, overlay::default_theme()))
            findings.push_back(kSmallLabels.at(
                chord.at, chord.in, fmt::format("the chord name '{}' is too long to be shown whole", chord.name),
                "give the shape a shorter name in \"shapes\""));
    }
}

/// Parts whose bars are so full that too few are seen, or not all of their names.
void find_bars(CheckInput const& input, overlay::Stage stage, std::vector<Finding>& findings)
{
    for (SectionSpan const& span : input.timeline.sections()) {
        Section const& section = input.lesson.sections[static_cast<std::size_t>(span.section)];
        if (!section.bars || span.bars_in == span.bars_out)
            continue;
        stage.corner = span.corner;
        int const crowding = bar_crowding(section.bars->value);
        int const shown = overlay::bars_shown(crowding, stage).bars();
        bool const whole = overlay::bars_fit(crowding, stage);
        if (whole && shown >= std::min(kBarsToSee, section.bars->value.bars()))
            continue;
        std::string const what =
            whole
                ? fmt::format("bars of '{}' hold so many chords that {} at a time {} shown", span.name, shown,
                              shown == 1 ? "is" : "are")
                : fmt::format("bars of '{}' hold more chords than can be shown: some end with an ellipsis", span.name);
        findings.push_back(kSmallLabels.at(section.bars->at, span.bars_in, what,
                                           "write shorter bars (2/4 for 4/4), or leave out passing chords"));
    }
}

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    auto const stage = stage_of(input.lesson, input.film ? input.film->displayed : SizePx{1920, 1080});
    find_names(input, stage, findings);
    find_bars(input, stage, findings);
    return findings;
}

} // namespace

Rule const kSmallLabels{
    "small-labels",
    Severity::warning,
    "chord names that have no room at a legible size",
    "Chord names are never set smaller than 11 pixels on a phone that shows the picture 400 pixels wide. Where they do "
    "not fit, fewer bars are shown, or a name ends with an ellipsis; two bars ahead are what a learner needs.",
    find,
    false,
    true};

} // namespace tabard::pipeline
