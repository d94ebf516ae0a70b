#pragma once
#include "pipeline/desk/desk.h"

namespace tabard::pipeline {

/// runs, cancel, made, folder, cut. The commands end with `routes`, which must go before `desk`.
void add_run_answers(Routes& routes, Desk& desk);

} // namespace tabard::pipeline
