#pragma once
// Captions and files beside a film's own tracks. Included by this folder's .cpp files alone.
#include "pipeline/media/write/added_tracks.h"
#include "pipeline/media/write/output.h"

#include <string>
#include <vector>

namespace tabard::pipeline::av {

/// Adds a stream for each track of captions and then for each file, before the header is written. Where one of them is
/// to be shown by default, no other track of captions is, unless it is forced. What changed so, one sentence each.
std::vector<std::string> add_tracks(AddedTracks const& added, Output& output);

/// Puts one event; after the header is written.
Result<void> put_event(AddedCaptions::Event const& event, int stream, Output& output);

} // namespace tabard::pipeline::av
