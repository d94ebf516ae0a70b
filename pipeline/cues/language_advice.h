#pragma once
#include "overlay/music/names/note_names.h"

#include <string>
#include <string_view>

namespace tabard::pipeline {

/// For a name that is none in `names` but one in another language: how a cue file says so. Empty for other names.
std::string language_advice(std::string_view name, overlay::NoteNames names);

} // namespace tabard::pipeline
