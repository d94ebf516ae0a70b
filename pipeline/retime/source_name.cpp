#include "pipeline/retime/source_name.h"

#include "overlay/base/caseless.h"
#include "overlay/base/small_letters.h"

#include <algorithm>
#include <array>
#include <cctype>

namespace tabard::pipeline {
namespace {

constexpr std::size_t kReelLength = 8;

// Endings in use: common practice, no published source.
constexpr std::array<std::string_view, 41> kFilmsAndSounds{
    "3g2", "3gp",  "264",  "265",  "aac", "aif", "aiff", "ari", "avi", "braw", "caf", "crm",  "dv",  "flac",
    "flv", "h264", "hevc", "insv", "lrv", "m2t", "m2ts", "m2v", "m4a", "m4v",  "mj2", "mkv",  "mov", "mp3",
    "mp4", "mpeg", "mpg",  "mts",  "mxf", "ogg", "ogv",  "qt",  "r3d", "ts",   "wav", "webm", "wmv"};
constexpr std::array<std::string_view, 19> kStills{"ai",  "avif", "bmp", "cin",  "dpx", "eps", "exr",
                                                   "gif", "heic", "jp2", "jpeg", "jpg", "pdf", "png",
                                                   "psd", "svg",  "tga", "tif",  "tiff"};

bool is_letter_or_digit(char sign) { return std::isalnum(static_cast<unsigned char>(sign)) != 0; }
bool is_digit(char sign) { return sign >= '0' && sign <= '9'; }

/// What is behind the last dot, in small letters.
std::string ending(std::string_view name)
{
    std::size_t const dot = name.rfind('.');
    return dot == std::string_view::npos || dot == 0 ? "" : small_letters(std::string{name.substr(dot + 1)});
}

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
    std::string plain = caseless(without_percent_signs(path));
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

bool is_still(std::string_view name)
{
    std::string const end = ending(name);
    return end == "webp" || std::ranges::find(kStills, end) != kStills.end();
}

bool is_file_name(std::string_view name)
{
    return is_still(name) || std::ranges::find(kFilmsAndSounds, ending(name)) != kFilmsAndSounds.end();
}

std::string plain_name(std::string_view name)
{
    std::string const file = file_name(name);
    std::string result;
    bool after_sign = false;
    for (char const sign : caseless(is_file_name(file) ? std::string_view{file}.substr(0, file.rfind('.')) : file)) {
        if (!is_letter_or_digit(sign) && static_cast<unsigned char>(sign) < 0x80) {
            after_sign = true;
            continue;
        }
        if (after_sign && is_digit(sign) && !result.empty() && is_digit(result.back()))
            result += '-'; // 1-1 is not 11
        result += sign;
        after_sign = false;
    }
    return result;
}

bool same_source_name(std::string_view a, std::string_view b)
{
    std::string const one = plain_name(a);
    std::string const other = plain_name(b);
    if (one.empty() && other.empty())
        return !a.empty() && caseless(file_name(a)) == caseless(file_name(b)); // names of signs alone
    return one == other;
}

bool is_reel_of(std::string_view reel, std::string_view name)
{
    auto const plain = [](std::string text) {
        std::erase_if(text, [](char sign) { return !is_letter_or_digit(sign); });
        return small_letters(text);
    };
    std::string const file = file_name(name);
    std::string const whole = plain(is_file_name(file) ? file.substr(0, file.rfind('.')) : file);
    return !whole.empty() && plain(std::string{reel}) == whole.substr(0, kReelLength);
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
