#pragma once
#include "pipeline/render/film_share.h"
#include "pipeline/render/planned_groups.h"

#include <string>

namespace tabard::cli {

/// A plan for programs, and for the machines that share its film: one line.
std::string plan_json(pipeline::FilmPlanNow const& now);
/// The same where all of a film so long is copied and nothing encoded.
std::string copy_plan_json(pipeline::Time whole);

/// What plan_json() says of the groups' keys. Fails with invalid_input, said of `name`.
Result<pipeline::ExpectedKeys> parse_plan(std::string const& json, std::string const& name);

} // namespace tabard::cli
