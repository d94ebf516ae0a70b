#pragma once
#include "pipeline/cues/cue_document.h"

namespace tabard::pipeline {

/// A retimed document with the times of its sections to the millisecond, as a person would write them; the card is on
/// the same picture, since a picture at most 1 ms away counts as the one at its time. Exact stay: times that the old
/// document has as labels with frames, those that did not change, and those of a section in which two would become one.
JsonValue with_plain_times(JsonValue document, JsonValue const& old_document);

} // namespace tabard::pipeline
