#pragma once
#include "overlay/base/result.h"
#include "pipeline/media/splice/group_encoder.h"

namespace tabard::pipeline {

/// The CRF at which new groups do not look worse than the film's own beside them: encodes a few pictures of the film as
/// they are, and goes for 46.5 dB (luma PSNR) against the film's own decoded pictures, without growing them beyond 1.4
/// times their size; where both cannot be had, the size gives way down to 45.5 dB.
/// Depends on the film, the preset and the encoder alone, so that groups in a cache stay good when cues change.
Result<int> find_crf(CodedFilm& film, SpliceSource const& source, EncoderSettings const& settings,
                     std::stop_token stop);

} // namespace tabard::pipeline
