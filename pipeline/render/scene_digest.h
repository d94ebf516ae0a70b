#pragma once
#include "overlay/drawing/scene.h"
#include "pipeline/media/digest.h"

namespace tabard::pipeline {

/// Adds all that makes a scene look as it does. Equal scenes give equal digests, and different ones different.
void add(Digest& digest, overlay::Scene const& scene);

} // namespace tabard::pipeline
