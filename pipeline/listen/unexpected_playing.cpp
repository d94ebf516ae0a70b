#include "pipeline/listen/unexpected_playing.h"

#include "overlay/base/small_letters.h"

#include <algorithm>
#include <string_view>

namespace tabard::pipeline {

namespace {

constexpr Time kShortestPlaying = from_ticks(4, 1, 1);

bool is_talk(std::string_view name)
{
    constexpr std::string_view kTalk = "talk";
    return std::ranges::equal(name.substr(0, kTalk.size()), kTalk, {}, small_letter);
}

bool shows_chords(Section const& section)
{
    return std::ranges::any_of(section.show, [](ShowCue const& cue) { return cue.text.empty(); });
}

/// A part without a chart, and how long it lasts.
struct ChartlessPart {
    int section = 0;
    Interval span;
};

/// In order of time. A part lasts until it says, else until the next begins.
std::vector<ChartlessPart> chartless_parts(Lesson const& lesson, Time film_end)
{
    std::vector<Time> begins;
    for (Section const& section : lesson.sections)
        if (section.from)
            begins.push_back(**section.from);
        else if (!section.pins.empty())
            begins.push_back(section.pins.front().time);
    std::vector<ChartlessPart> parts;
    for (std::size_t n = 0; n < lesson.sections.size(); ++n) {
        Section const& section = lesson.sections[n];
        if (section.bars || !section.from)
            continue;
        Time end = film_end;
        for (Time const begin : begins)
            end = begin > **section.from ? std::min(end, begin) : end;
        parts.push_back({static_cast<int>(n), {**section.from, section.to ? **section.to : end}});
    }
    std::ranges::stable_sort(parts, {}, [](ChartlessPart const& part) { return part.span.from; });
    return parts;
}

} // namespace

std::vector<StrayPlaying> unexpected_playing(Lesson const& lesson, std::vector<Stretch> const& stray, double seconds)
{
    std::vector<StrayPlaying> result;
    auto const add = [&result](Interval heard, std::optional<int> section, std::string name) {
        if (heard.length() >= kShortestPlaying)
            result.push_back({heard, section, std::move(name)});
    };
    auto const parts = chartless_parts(lesson, from_seconds(seconds));
    for (Stretch const& stretch : stray) {
        Interval rest{from_seconds(stretch.from), from_seconds(stretch.to)};
        for (ChartlessPart const& part : parts) {
            Section const& section = lesson.sections[static_cast<std::size_t>(part.section)];
            auto const shared = overlap(rest, part.span);
            if (shared.empty() || (is_talk(*section.name) && !shows_chords(section)))
                continue;
            add({rest.from, shared.from}, std::nullopt, "");
            if (!shows_chords(section))
                add(shared, part.section, *section.name);
            rest.from = shared.to;
        }
        add(rest, std::nullopt, "");
    }
    return result;
}

} // namespace tabard::pipeline
