#pragma once
#include "pipeline/listen/listen.h"

#include <string>

namespace tabard::pipeline {

/// What was heard, for a person: a line a section and below it what needs a look and what to do; the counts last.
std::string listen_text(LessonHeard const& heard);
/// The same for a program: {"version": 1, "tuning_cents": ..., "sections": [...], "unexpected": [...], "remarks":
/// [...], "words": ...}. A section has its index in the file as "section", its "result" ("sure", "doubtful", "not
/// found") with "reason" and "help", "trusted" where its pins are written, and "exact_pins" as the file would have
/// them.
std::string listen_json(LessonHeard const& heard);

} // namespace tabard::pipeline
