#pragma once
#include "pipeline/render/film.h"
#include "pipeline/render/group_maker.h"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// A touched group of a film, and what a render on this machine would do with it now.
struct PlannedGroup {
    std::size_t number = 0; ///< among the groups of the plan's source
    std::string key;        ///< its name in a cache
    bool cached = false;
    std::int64_t bytes = 0; ///< as the cache has it, or about what it will be
};

struct PlannedGroups {
    KeyParts parts;                    ///< what all keys have in common
    std::vector<PlannedGroup> touched; ///< in the film's order
};

/// What a render would do now, for each group. Reads nothing of the film, but where no quality is given nor kept in the
/// cache: then a trial finds it, as for a render. Errors: as GroupMaker::create().
Result<PlannedGroups> look_up_groups(CodedFilm& film, FilmPlan const& plan, GroupMaker::Options const& options);

/// A plan, and its groups where they are known.
struct FilmPlanNow {
    FilmPlan plan;
    std::optional<PlannedGroups> groups; ///< none where the whole film is encoded, or none was asked for
    std::vector<bool> cached;            ///< for each group of the source
    std::int64_t cached_groups = 0;
    Time cached_time{0};           ///< how long these are on screen
    std::optional<double> seconds; ///< that a render takes here, about; none where nothing like it was made here

    /// The film's group `number` would be encoded now.
    bool is_to_encode(std::size_t number) const { return plan.touched[number] && !cached[number]; }
    Time time_to_encode() const { return plan.touched_time - cached_time; }
};

enum class Lookup {
    where_any_is_cached, ///< no trial: where it would be needed there is nothing in the cache
    always
};
/// Errors: as plan_film() and look_up_groups().
Result<FilmPlanNow> plan_now(FilmJob const& job, Lookup lookup);

} // namespace tabard::pipeline
