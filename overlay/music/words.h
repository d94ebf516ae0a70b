#pragma once
#include <algorithm>
#include <cstddef>
#include <string_view>
#include <vector>

namespace tabard::overlay {

/// A word of a text and where it begins, counted from 1.
struct Word {
    std::string_view text;
    std::size_t position = 1;
};

/// The parts of `text` between white space.
inline std::vector<Word> words_of(std::string_view text)
{
    constexpr std::string_view kSpace = " \t\r\n";
    std::vector<Word> words;
    for (auto begin = text.find_first_not_of(kSpace); begin != std::string_view::npos;) {
        auto const end = std::min(text.find_first_of(kSpace, begin), text.size());
        words.push_back({text.substr(begin, end - begin), begin + 1});
        begin = text.find_first_not_of(kSpace, end);
    }
    return words;
}

} // namespace tabard::overlay
