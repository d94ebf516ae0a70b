#include "pipeline/cues/language_advice.h"

#include "overlay/music/names/chord_name.h"

#include <fmt/format.h>

namespace tabard::pipeline {

std::string language_advice(std::string_view name, overlay::NoteNames names)
{
    auto const language = overlay::language_of(name, names);
    if (!language)
        return "";
    return fmt::format("write \"names\": \"{}\" at the top of the file if all its names are so{}",
                       overlay::word_of(*language),
                       *language == overlay::NoteNames::german ? " (B is B flat then)" : "");
}

} // namespace tabard::pipeline
