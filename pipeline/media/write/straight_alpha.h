#pragma once
// Premultiplied ARGB32 pixels as the pictures that encoders with alpha take. Included by this folder's .cpp files
// alone.
#include "pipeline/media/av.h"

#include <cstdint>
#include <span>

namespace tabard::pipeline::av {

/// Fills `frame` (ARGB, RGBA, YUVA420P or YUVA444P10, allocated) with straight colour and alpha; YUV is BT.709, limited
/// range. Near ink, transparent samples take the colour of the ink, so that lossy coding does not darken edges.
/// `pixels` empty: all transparent.
void fill_straight(AVFrame& frame, std::span<std::uint32_t const> pixels);

} // namespace tabard::pipeline::av
