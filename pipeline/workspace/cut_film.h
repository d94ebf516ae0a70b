#pragma once
#include "pipeline/retime/cut_file.h"
#include "pipeline/timeline/media_facts.h"

#include <optional>
#include <string>
#include <string_view>

namespace tabard::pipeline {

/// Whether a film is the one that a cut makes, as far as its length and the timecode of its first frame tell. A film
/// that counts from another full hour than its list is that film: many programs write only what comes after the hour.
/// `first_label` is empty where the film has no timecode. None where nothing speaks against it.
std::optional<CutDoubt> doubt_of_film(CutReading const& cut, MediaFacts const& film, std::string_view first_label);

} // namespace tabard::pipeline
