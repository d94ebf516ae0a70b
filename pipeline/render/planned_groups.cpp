#include "pipeline/render/planned_groups.h"

#include "pipeline/machine/processors.h"
#include "pipeline/render/film_room.h"
#include "pipeline/render/render_speed.h"

#include <algorithm>

namespace tabard::pipeline {
namespace {

PlannedGroup look_up(GroupMaker& maker, GroupPlace const& place, std::size_t number)
{
    PlannedGroup planned{number, maker.key(number), false, FilmSize::expected(place.bytes)};
    if (auto const cached = maker.find(planned.key, number)) {
        planned.cached = true;
        planned.bytes = static_cast<std::int64_t>(cached->bytes());
    }
    return planned;
}

// As fast as the last time. Threads beyond the cores gain nothing.
std::optional<double> seconds_for(FilmPlanNow const& now, FilmJob const& job)
{
    auto const speed =
        job.cache ? last_speed(*job.cache, job.write.encoder, *now.plan.source->info.video) : std::nullopt;
    if (!speed)
        return std::nullopt;
    std::int64_t groups = 0;
    double pictures = 0, bytes = 0;
    for (std::size_t i = 0; i < now.plan.touched.size(); ++i) {
        GroupPlace const& group = now.plan.source->groups[i];
        bytes += static_cast<double>(group.bytes);
        if (now.is_to_encode(i)) {
            ++groups;
            pictures += static_cast<double>(group.pictures);
        }
    }
    int const processors = usable_processors();
    std::int64_t const cores = std::min(processors, job.allowance.jobs.value_or(processors));
    auto const at_once = static_cast<double>(std::clamp<std::int64_t>(groups, 1, cores));
    return pictures * speed->picture / at_once + bytes * speed->byte;
}

} // namespace

Result<PlannedGroups> look_up_groups(CodedFilm& film, FilmPlan const& plan, GroupMaker::Options const& options)
{
    TRY_ASSIGN(auto const maker, GroupMaker::create(film, plan, options));
    PlannedGroups planned{maker->key_parts(), {}};
    for (std::size_t i = 0; i < plan.touched.size(); ++i)
        if (plan.touched[i])
            planned.touched.push_back(look_up(*maker, plan.source->groups[i], i));
    return planned;
}

Result<FilmPlanNow> plan_now(FilmJob const& job, Lookup lookup)
{
    TRY_ASSIGN(CodedFilm film, CodedFilm::open(job.footage, job.stop));
    FilmPlanNow now;
    TRY_ASSIGN(now.plan, plan_film(job, film));
    if (!now.plan.source)
        return now;
    SpliceSource const& source = *now.plan.source;
    now.cached.resize(source.groups.size());
    auto cache = job.cache ? std::optional<GroupCache>(*job.cache) : std::nullopt;
    GroupMaker::Options const options{job.look, job.write.encoder, cache ? &*cache : nullptr, job.allowance, job.stop};
    if (lookup != Lookup::always && (!cache || !GroupMaker::knows_quality(source, options))) {
        now.seconds = seconds_for(now, job);
        return now;
    }
    TRY_ASSIGN(now.groups, look_up_groups(film, now.plan, options));
    for (PlannedGroup const& group : now.groups->touched) {
        if (!group.cached)
            continue;
        now.cached[group.number] = true;
        ++now.cached_groups;
        now.cached_time +=
            end_of_group(source, group.number) - source.shown_at(source.groups[group.number].first_picture);
    }
    now.seconds = seconds_for(now, job);
    return now;
}

} // namespace tabard::pipeline
