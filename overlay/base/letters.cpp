#include "overlay/base/letters.h"

#include "overlay/base/precondition.h"

#include <algorithm>
#include <memory>
#include <vector>

#include <unicode/ubrk.h>
#include <unicode/utext.h>

namespace tabard {
namespace {

constexpr std::string_view kEllipsis = "\u2026";

/// Where each letter ends, in bytes.
std::vector<std::size_t> letter_ends(std::string_view text)
{
    UErrorCode status = U_ZERO_ERROR;
    std::unique_ptr<UText, decltype(&utext_close)> const opened{
        utext_openUTF8(nullptr, text.data(), static_cast<std::int64_t>(text.size()), &status), utext_close};
    std::unique_ptr<UBreakIterator, decltype(&ubrk_close)> const letters{
        ubrk_open(UBRK_CHARACTER, "", nullptr, 0, &status), ubrk_close};
    ubrk_setUText(letters.get(), opened.get(), &status);
    PRECONDITION(U_SUCCESS(status)); // ICU's rules are part of its library
    std::vector<std::size_t> ends;
    for (std::int32_t end = ubrk_next(letters.get()); end != UBRK_DONE; end = ubrk_next(letters.get()))
        ends.push_back(static_cast<std::size_t>(end));
    return ends;
}

} // namespace

std::size_t count_letters(std::string_view text) { return letter_ends(text).size(); }

std::string_view next_letter(std::string_view text)
{
    return text.empty() ? text : text.substr(0, letter_ends(text).front());
}

std::string_view first_letters(std::string_view text, std::size_t most)
{
    if (text.size() <= most)
        return text;
    auto const ends = letter_ends(text);
    auto const beyond = std::ranges::upper_bound(ends, most);
    return text.substr(0, beyond == ends.begin() ? 0 : *(beyond - 1));
}

std::string_view last_letters(std::string_view text, std::size_t most)
{
    if (text.size() <= most)
        return text;
    auto const ends = letter_ends(text);
    return text.substr(*std::ranges::lower_bound(ends, text.size() - most));
}

std::string shortened(std::string_view text, std::size_t most_letters, std::size_t most_bytes)
{
    if (text.size() <= std::min(most_letters, most_bytes))
        return std::string{text};
    auto const ends = letter_ends(text);
    if (ends.size() <= most_letters && text.size() <= most_bytes)
        return std::string{text};
    std::size_t kept = std::min(most_letters - std::min<std::size_t>(1, most_letters), ends.size());
    while (kept > 0 && ends[kept - 1] + kEllipsis.size() > most_bytes)
        --kept;
    std::string_view const begin = text.substr(0, kept > 0 ? ends[kept - 1] : 0);
    return std::string{begin.substr(0, begin.find_last_not_of(' ') + 1)} += kEllipsis;
}

} // namespace tabard
