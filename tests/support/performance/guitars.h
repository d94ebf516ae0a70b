#pragma once
#include "tests/support/performance/note_bank.h"

#include <vector>

namespace tabard::tests {

/// Steel and nylon guitars of the packaged sound fonts, and the recorded notes of tests/outside/setup: those that are
/// installed.
std::vector<NoteBank> guitars();

/// Those of the sound fonts alone, in the same order.
std::vector<NoteBank> sound_font_guitars();

} // namespace tabard::tests
