#include "pipeline/check/charts_in_time.h"

#include <algorithm>

namespace tabard::pipeline {
namespace {

/// More than the longest chart lasts at 60 beats a minute, and than any film.
constexpr Time kApart{100'000 * kFlicksPerSecond};

bool has_no_time(Section const& section)
{
    return section.bars ? !tempo_map(section) : !section.from && section.pins.empty();
}

/// Where the slots behind all else begin: after whatever a file says.
Time behind(Lesson const& lesson, MediaFacts const& film)
{
    Time end = film.duration;
    for (Section const& section : lesson.sections) {
        if (section.from)
            end = std::max(end, **section.from);
        if (section.to)
            end = std::max(end, **section.to);
        for (Pin const& pin : section.pins)
            end = std::max(end, pin.next_time());
    }
    return end + kApart;
}

} // namespace

ChartsInTime charts_in_time(Lesson lesson, MediaFacts const& film)
{
    Time const end = behind(lesson, film);
    Time next = end;
    for (Section& section : lesson.sections) {
        if (!has_no_time(section))
            continue;
        section.from = Sourced<Time>{next, section.at};
        section.to.reset();
        section.pins.clear();
        section.piece.reset();
        if (!section.tempo)
            section.tempo = Sourced<Tempo>{Tempo{100'000}, section.at};
        next += kApart;
    }
    auto timeline = Timeline::resolve(lesson, film);
    return {std::move(lesson), std::move(timeline), end};
}

std::optional<ChartsInTime> charts_in_time(LessonFile const& file, Lesson const& timed, MediaFacts const& film)
{
    LessonReadOptions options;
    options.charts = Charts::untimed;
    options.footage_rate = [&film](std::filesystem::path const&) { return std::optional{film.rate}; };
    auto whole = lesson_of_document(file.document, file.text, file.path, options).lesson;
    if (!whole ||
        (std::ranges::none_of(whole->sections, has_no_time) && whole->sections.size() == timed.sections.size()))
        return std::nullopt;
    return charts_in_time(*std::move(whole), film);
}

} // namespace tabard::pipeline
