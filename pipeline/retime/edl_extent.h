#pragma once
#include "pipeline/retime/edl_events.h"
#include "pipeline/time/edit_map.h"

namespace tabard::pipeline {

/// How much of its source an event shows. Times count from label zero.
struct EdlExtent {
    Interval source;    ///< empty for a freeze
    bool agrees = true; ///< whether its labels and its speed say the same
};

/// The extent of an event of `record_length()` > 0. An M2 says how fast it runs; its labels do where the speed is only
/// the decimal nearest to theirs. Lists write speeds with one decimal and lengths in whole frames, so they agree within
/// a frame and one in 250 more; where the labels leave the source as long as the record, the speed alone tells. Where
/// they disagree the extent is what the record side and the speed make it.
EdlExtent edl_extent(EdlEvent const& event, FrameRate rate);

/// What a line without length shows if it runs on from its place: the speed of its M2, or normal speed.
KeptSpan edl_running_on(EdlEvent const& event, FrameRate rate);

} // namespace tabard::pipeline
