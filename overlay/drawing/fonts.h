#pragma once
#include <string>
#include <string_view>
#include <vector>

namespace tabard::overlay {

/// Those of `families` that are not installed: another face stands in for them, which a caller should say.
std::vector<std::string> missing_fonts(std::vector<std::string> const& families);

/// The letters of `text`, each once, that no installed font has where it is set in `family`: they come out as boxes.
std::vector<std::string> letters_without_glyphs(std::string_view text, std::string const& family);

/// Finds what is installed, which takes a while and else happens with the first word that is set. Any thread.
void find_installed_fonts();

/// Emoji on this thread are outlines as all other letters are, of the family Symbola, wherever it is installed. Pango
/// asks for a coloured face of its own: pictures, which no card of one colour and no film font can hold.
void use_outlines_for_emoji();

} // namespace tabard::overlay
