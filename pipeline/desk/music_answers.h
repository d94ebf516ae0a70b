#pragma once
#include "pipeline/desk/desk.h"

namespace tabard::pipeline {

/// tap: the musical answers.
void add_music_answers(Routes& routes, Desk& desk);

} // namespace tabard::pipeline
