#include "pipeline/check/rules/picture/in_the_way.h"

#include "pipeline/check/rules/text_in_words.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

double hidden(CornerCover const& cover) { return std::max(cover.hands / kHandsCovered, cover.face / kFaceCovered); }

/// Whether a span shows anything in [in, out): then it may be the first.
template <class Span>
void look_at(Span const& span, Time in, Time out, std::string what, std::optional<CueOnScreen>& first)
{
    if (span.in < out && span.out > in && (!first || span.in < first->in))
        first = CueOnScreen{span.at, span.in, std::move(what)};
}

} // namespace

std::string another_corner(SectionCover const& section, Lesson const& lesson)
{
    std::size_t best = static_cast<std::size_t>(section.corner);
    for (std::size_t i = 0; i < section.corners.size(); ++i) {
        // The compact ones come last: they have no strum, so one that leaves the strum and is free is taken before.
        if (overlay::compact(static_cast<overlay::Corner>(i)) && !in_the_way(*section.corners[best]))
            break;
        if (section.corners[i] && hidden(*section.corners[i]) < hidden(*section.corners[best]))
            best = i;
    }
    auto const& cover = *section.corners[best];
    if (in_the_way(cover))
        return "no corner is free here: film with more room around hands and face, or show fewer things at once";
    auto const there = cover.hands < 0.005 && cover.face < 0.005
                           ? std::string{"there nothing is in the way"}
                           : fmt::format("there {:.0f} % of the motion and {:.0f} % of a face are hidden",
                                         100 * cover.hands, 100 * cover.face);
    bool const own = places_itself(lesson.sections[static_cast<std::size_t>(section.section)]);
    return fmt::format(
        "write \"placement\": \"{}\" in {}: {} ('tabard check --place' finds and writes the best corner)",
        placement_word(static_cast<overlay::Corner>(best)), own ? "this part" : "the cue file", there);
}

std::optional<CueOnScreen> first_cue_in(Timeline const& timeline, Time in, Time out)
{
    std::optional<CueOnScreen> first;
    for (auto const& span : timeline.chords())
        if (!span.name.empty())
            look_at(span, in, out, fmt::format("chord '{}'", span.name), first);
    for (auto const& span : timeline.strums())
        look_at(span, in, out, fmt::format("strum pattern '{}'", span.name), first);
    for (auto const& span : timeline.texts())
        look_at(span, in, out, fmt::format("the text '{}'", text_in_words(span.text)), first);
    return first;
}

} // namespace tabard::pipeline
