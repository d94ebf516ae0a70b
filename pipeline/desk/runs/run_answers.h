#pragma once
#include "pipeline/desk/desk.h"

namespace tabard::pipeline {

/// runs, cancel, made, folder, cut. The commands end with `routes`, which must go before `desk`.
void add_run_answers(Routes& routes, Desk& desk);

/// Begins a run of kind `start`, as the page can: for a lesson that was begun a moment ago.
void propose_parts(Routes const& routes);

} // namespace tabard::pipeline
