#pragma once
#include "pipeline/desk/server/exchange.h"

namespace tabard::pipeline {

class Desk;

/// All that a page may ask of the desk. `desk` must outlive them.
Routes desk_routes(Desk& desk);

} // namespace tabard::pipeline
