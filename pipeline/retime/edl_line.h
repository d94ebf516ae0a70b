#pragma once
#include "pipeline/retime/edl_events.h"

#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// The words of a line of an edit list.
using EdlTokens = std::vector<std::string_view>;

EdlTokens edl_tokens(std::string_view line);
/// The words [from, to), one space between them.
std::string edl_words(EdlTokens const& tokens, std::size_t from, std::size_t to);
bool all_digits(std::string_view text);
/// A to Z from a to z; all other bytes as they are.
std::string in_capitals(std::string_view text);

/// What a line is, by its shape alone. `resembling` is a comment by its first sign that reads like an event.
enum class EdlLine { empty, event, frame_code, motion, resembling, comment };

/// Every line that ends in four labels is an event, whatever its number looks like, and so is one that begins like an
/// event and has lost labels: what is wrong in it is then said. Titles and lines that begin with *, # or > are not.
EdlLine edl_line(EdlTokens const& tokens);

/// "V", "B" (picture and sound), "A", "AA", "A2/V", "V2", "VA1A2", "NONE". False where it is none.
bool read_edl_tracks(std::string_view text, EdlEvent& event);

/// Reads the transition and its length at the end of tokens [0, end): "C", "D 024", "D024", "W001 024", "W 001 024",
/// "K", "K B", "KB 000", "K O 010". Gives how many words are before it. Fails with invalid_input and no line number.
Result<std::size_t> read_edl_transition(EdlTokens const& tokens, std::size_t end, EdlEvent& event);

} // namespace tabard::pipeline
