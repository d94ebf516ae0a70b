#pragma once
#include "pipeline/check/checker.h"

#include <string>

namespace tabard::pipeline {

/// The film's timeline as inline SVG, line by line as music is written: time, sections, chords, texts and patterns, and
/// marks for the findings, each a link to "#finding-N" (N from 1).
std::string timeline_picture(Timeline const& timeline, std::vector<FoldedFinding> const& findings);

} // namespace tabard::pipeline
