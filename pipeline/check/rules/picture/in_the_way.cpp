#include "pipeline/check/rules/picture/in_the_way.h"

#include "pipeline/check/place.h"
#include "pipeline/check/rules/text_in_words.h"
#include "pipeline/files/shell_word.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// The corner that `check --place` writes for a section, whether as its own or as the lesson's.
std::optional<overlay::Corner> placed_corner(SectionCover const& section, Lesson const& lesson,
                                             PictureFacts const& pictures)
{
    bool const own = places_itself(lesson.sections[static_cast<std::size_t>(section.section)]);
    constexpr int kLesson = -1;
    int const wanted = own ? section.section : kLesson;
    for (BetterCorner const& better : better_corners(lesson, pictures))
        if (better.section.value_or(kLesson) == wanted)
            return better.corner;
    return std::nullopt;
}

bool is_free_somewhere(SectionCover const& section)
{
    return std::ranges::any_of(section.corners, [](auto const& cover) { return cover && !in_the_way(*cover); });
}

/// Whether a span shows anything in [in, out): then it may be the first.
template <class Span>
void look_at(Span const& span, Time in, Time out, std::string what, std::optional<CueOnScreen>& first)
{
    if (span.in < out && span.out > in && (!first || span.in < first->in))
        first = CueOnScreen{span.at, span.in, std::move(what)};
}

} // namespace

std::string another_corner(SectionCover const& section, Lesson const& lesson, PictureFacts const& pictures)
{
    constexpr char const* kElse = "film with more room around hands and face, or show fewer things at once";
    auto const best = placed_corner(section, lesson, pictures);
    if (!best)
        return fmt::format("{}: {}",
                           is_free_somewhere(section) ? "no other corner is clearly better for all parts"
                                                      : "no corner is free here",
                           kElse);
    auto const& cover = *section.corners[static_cast<std::size_t>(*best)];
    bool const own = places_itself(lesson.sections[static_cast<std::size_t>(section.section)]);
    auto const write =
        fmt::format("write \"placement\": \"{}\" in {} (tabard check --place {} does)", placement_word(*best),
                    own ? "this part" : "the cue file", shell_word(lesson.file.string()));
    if (cover.hands < 0.005 && cover.face < 0.005)
        return write + ": there nothing is in the way";
    auto const there =
        fmt::format("{:.0f} % of the motion and {:.0f} % of a face are hidden", 100 * cover.hands, 100 * cover.face);
    return in_the_way(cover) ? fmt::format("{}: no corner is free, and there {}; or {}", write, there, kElse)
                             : fmt::format("{}: there {}", write, there);
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
