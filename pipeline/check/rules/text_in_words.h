#pragma once
#include "overlay/base/letters.h"

namespace tabard::pipeline {

/// As much of a text as names it in a finding: a card may hold whole sentences.
inline std::string text_in_words(std::string_view text) { return shortened(text, 24); }

} // namespace tabard::pipeline
