#pragma once
#include "pipeline/retime/cut_source.h"

#include <nlohmann/json_fwd.hpp>

namespace tabard::pipeline {

/// What an OpenTimelineIO clip says of its picture.
struct OtioMedia {
    CutSource source;
    bool is_clear = false; ///< whether a film under it is seen: titles, and stills of a kind that may be transparent
};

/// Of several references to one shot the one that is called like the footage, else the active one.
OtioMedia otio_media(nlohmann::ordered_json const& clip, CutOptions const& options);

/// The reference whose times a clip counts by; null where it has none.
nlohmann::ordered_json const* active_media(nlohmann::ordered_json const& clip);

} // namespace tabard::pipeline
