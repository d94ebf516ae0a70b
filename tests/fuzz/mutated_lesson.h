#pragma once
#include <random>
#include <string>

namespace tabard::tests {

/// A cue file, changed in one to six places as people and programs get it wrong: keys and items dropped, doubled, moved
/// and renamed, values of other kinds, numbers at the ends of their ranges, references to other names, long texts,
/// deep nesting, text spliced into charts. JSON it always is, but for keys that stand twice.
std::string mutated_lesson(std::string const& text, std::mt19937& random);

} // namespace tabard::tests
