#pragma once
// From when to when a film has pictures, by its packets. Included by this folder's .cpp files alone.
#include "pipeline/media/av.h"
#include "pipeline/media/read/frame_rate.h"

namespace tabard::pipeline::av {

/// Whether every picture stands in the index that the header gave: MP4 and MOV without fragments, whole AVI files.
bool has_whole_index(AVFormatContext const* context, AVStream* stream);

/// Whether an empty edit lets the pictures of an MP4 or MOV film begin late.
bool starts_late_by_edits(AVFormatContext const* context, AVStream const* stream);

/// What the packets say. Ticks of the pictures' clock, as the container counts.
struct PictureExtent {
    std::int64_t first = 0;        ///< when the first picture is shown; AV_NOPTS_VALUE where only the end was read
    std::int64_t end = 0;          ///< when the last one is over
    std::int64_t pictures = 0;     ///< 0 where only the end was read
    std::optional<RateFacts> rate; ///< likewise none
    bool cut_off = false;          ///< a whole index has more pictures than the file
    std::int64_t end_of_all = 0;   ///< when the last packet of any track is over, in AV_TIME_BASE units
};

/// Reads packets as far as the header does not tell the truth by itself: nothing of a film with a whole index whose
/// bytes are all there (none is returned), the last seconds of one with a duration or that begins late by its edits,
/// else all of it. What was read of a file is remembered for as long as the file stays the same. Errors: interrupted;
/// decode for a clock that starts again on the way.
Result<std::optional<PictureExtent>> picture_extent(Input const& input, AVStream* stream,
                                                    std::filesystem::path const& path);

} // namespace tabard::pipeline::av
