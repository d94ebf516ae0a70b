#pragma once
#include "pipeline/media/write/overlay_track.h"
#include "pipeline/render/film.h"

namespace tabard::pipeline {

/// Writes the scenes of `job` alone, with transparency, for an editing program to lay over the footage: as long as it,
/// upright, in its displayed size, each picture at the time of one of the footage's. Of `job.write` the part plays a
/// part; the method and the draft size do not; the cache gives way on a full disk. Errors: as OverlayTrackWriter,
/// OutputFile and OutputFolder.
Result<FilmReport> render_overlay_film(FilmJob const& job, OverlayCodec codec);

/// All layers of a scene in one picture of the stage's size: premultiplied sRGB, rows tightly packed.
std::vector<std::uint32_t> compose_scene(overlay::Painter& painter, overlay::Scene const& scene);

} // namespace tabard::pipeline
