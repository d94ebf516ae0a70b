#pragma once
#include <cstddef>
#include <string>
#include <string_view>

// Text by letters as a reader sees them, each of one or many code points: the extended grapheme clusters of Unicode
// Standard Annex #29. Text is UTF-8; a byte that is none counts as a letter.
namespace tabard {

std::size_t count_letters(std::string_view text);

/// The letter that the text begins with; empty where the text is.
std::string_view next_letter(std::string_view text);

/// The longest start, and end, of the text of at most `most` bytes that cuts no letter.
std::string_view first_letters(std::string_view text, std::size_t most);
std::string_view last_letters(std::string_view text, std::size_t most);

/// For places that have room for so much: the text itself, or its beginning and an ellipsis, `most_letters` and
/// `most_bytes` together (letters can be piled up without end).
std::string shortened(std::string_view text, std::size_t most_letters, std::size_t most_bytes);
inline std::string shortened(std::string_view text, std::size_t most_letters)
{
    return shortened(text, most_letters, 16 * most_letters);
}

} // namespace tabard
