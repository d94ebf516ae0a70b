#include "pipeline/render/film_plan.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

// What is asked for that copying cannot give.
std::string reason_in_options(WriteOptions const& write)
{
    if (write.encoder.codec != VideoCodec::h264)
        return fmt::format("it is written as {}", name(write.encoder.codec));
    if (write.from > Time{0} || write.to)
        return "a part of the film begins and ends where it is asked to";
    return {};
}

bool is_touched(SpliceSource const& source, GroupPlace const& group, SceneRuns const& runs)
{
    for (std::size_t i = 0; i < group.pictures; ++i)
        if (runs.at(source.shown_at(group.first_picture + i)))
            return true;
    return false;
}

std::vector<Time> picture_times(SpliceSource const& source)
{
    std::vector<Time> times;
    for (std::size_t i = 0; i < source.shown.size(); ++i)
        times.push_back(source.shown_at(i));
    std::ranges::sort(times); // they stand in decoding order
    return times;
}

void find_touched(FilmPlan& plan)
{
    SpliceSource const& source = *plan.source;
    for (std::size_t i = 0; i < source.groups.size(); ++i) {
        bool const touched = is_touched(source, source.groups[i], plan.runs);
        plan.touched.push_back(touched);
        if (!touched)
            continue;
        ++plan.touched_groups;
        plan.touched_time += end_of_group(source, i) - source.shown_at(source.groups[i].first_picture);
    }
}

} // namespace

Time end_of_group(SpliceSource const& source, std::size_t group)
{
    if (group + 1 < source.groups.size())
        return source.shown_at(source.groups[group + 1].first_picture);
    return source.info.video->start + source.info.video->duration;
}

Result<FilmPlan> plan_film(CodedFilm& film, WriteOptions const& write, SceneRuns const& runs,
                           std::vector<FilmFlaw>* flaws)
{
    FilmPlan plan;
    plan.whole_time = film.video().duration;
    plan.why_whole = reason_in_options(write);
    if (!plan.why_whole.empty()) {
        if (flaws) {
            TRY_ASSIGN(*flaws, find_flaws(film));
        }
        return plan;
    }
    TRY_ASSIGN(SpliceInspection inspection, inspect_for_splicing(film, write.container, flaws));
    plan.why_whole = inspection.why_not;
    plan.source = std::move(inspection.source);
    if (plan.source) {
        auto const times = picture_times(*plan.source);
        Time const end = film.video().start + film.video().duration;
        if (runs.with_repeats(times, end).size() > times.size()) {
            plan.source.reset();
            plan.why_whole = "overlays change while one frame of it stays on screen";
            return plan;
        }
        plan.runs = runs.on_pictures(times, end);
        find_touched(plan);
    }
    return plan;
}

} // namespace tabard::pipeline
