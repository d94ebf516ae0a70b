#include "pipeline/retime/source_name.h"

#include "overlay/base/small_letters.h"

#include <algorithm>
#include <cctype>

namespace tabard::pipeline {
namespace {

constexpr std::size_t kReelLength = 8;

bool is_digit_or_letter(char sign) { return std::isalnum(static_cast<unsigned char>(sign)) != 0; }
bool is_letter(char sign) { return std::isalpha(static_cast<unsigned char>(sign)) != 0; }

std::string without_percent_signs(std::string_view text)
{
    std::string result;
    for (std::size_t i = 0; i < text.size(); ++i) {
        bool const coded = text[i] == '%' && i + 2 < text.size() &&
                           std::isxdigit(static_cast<unsigned char>(text[i + 1])) &&
                           std::isxdigit(static_cast<unsigned char>(text[i + 2]));
        result += coded ? static_cast<char>(std::stoi(std::string{text.substr(i + 1, 2)}, nullptr, 16)) : text[i];
        i += coded ? 2 : 0;
    }
    return result;
}

/// With slashes alone and without the way it is fetched.
std::string plain_path(std::string_view path)
{
    std::string plain = small_letters(without_percent_signs(path));
    std::ranges::replace(plain, '\\', '/');
    if (std::size_t const scheme = plain.find("://"); scheme != std::string::npos)
        plain.erase(0, scheme + 2);
    return plain;
}

} // namespace

std::string file_name(std::string_view path)
{
    return without_percent_signs(path.substr(path.find_last_of("/\\") + 1));
}

std::string plain_name(std::string_view name)
{
    std::string const file = file_name(name);
    std::size_t const dot = file.rfind('.');
    bool const has_extension = dot != std::string::npos && dot > 0 && file.size() - dot <= 5;
    std::string result;
    for (char const sign : has_extension ? file.substr(0, dot) : file) {
        auto const byte = static_cast<unsigned char>(sign);
        if (std::isalnum(byte) || byte >= 0x80)
            result += static_cast<char>(std::tolower(byte));
    }
    return result;
}

bool same_source_name(std::string_view a, std::string_view b)
{
    std::string const one = plain_name(a);
    return !one.empty() && one == plain_name(b);
}

bool is_shortened(std::string_view reel, std::string_view name)
{
    std::string const plain = plain_name(reel);
    std::string const whole = plain_name(name);
    return plain.size() == kReelLength && whole.size() > kReelLength && whole.starts_with(plain);
}

bool is_file_name(std::string_view name)
{
    std::size_t const dot = name.rfind('.');
    if (dot == std::string_view::npos || dot == 0)
        return false;
    std::string_view const extension = name.substr(dot + 1);
    return extension.size() >= 2 && extension.size() <= 4 && std::ranges::all_of(extension, is_digit_or_letter) &&
           std::ranges::any_of(extension, is_letter);
}

bool same_path(std::string_view a, std::string_view b)
{
    std::string const one = plain_path(a);
    std::string const other = plain_path(b);
    std::string const& longer = one.size() < other.size() ? other : one;
    std::string const& shorter = one.size() < other.size() ? one : other;
    return longer == shorter || (longer.ends_with(shorter) &&
                                 (shorter.starts_with('/') || longer[longer.size() - shorter.size() - 1] == '/'));
}

} // namespace tabard::pipeline
