#include "cli/values.h"

#include "overlay/base/nearest_word.h"
#include "overlay/base/small_letters.h"

#include <algorithm>
#include <charconv>
#include <filesystem>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::cli {

std::string not_one_of(std::string_view value, std::span<std::string const> words)
{
    constexpr std::size_t kFew = 4;
    std::vector<std::string_view> const candidates(words.begin(), words.end());
    if (auto const near = nearest_word(value, candidates); near && words.size() > kFew)
        return fmt::format("cannot be '{}'; did you mean '{}'?", value, *near);
    if (words.size() == 1)
        return fmt::format("cannot be '{}'; write {}", value, words[0]);
    return fmt::format("cannot be '{}'; write {} or {}", value, fmt::join(words.first(words.size() - 1), ", "),
                       words.back());
}

CLI::Validator one_of(std::vector<std::string> words)
{
    std::string const listed = fmt::format("{{{}}}", fmt::join(words, ","));
    auto const check = [words = std::move(words)](std::string& value) {
        return std::ranges::find(words, value) == words.end() ? not_one_of(value, words) : std::string{};
    };
    return {check, listed};
}

CLI::Validator whole_number(int least, int most)
{
    auto const check = [least, most](std::string& value) {
        int number = 0;
        auto const [end, failed] = std::from_chars(value.data(), value.data() + value.size(), number);
        bool const whole = failed == std::errc{} && end == value.data() + value.size();
        return whole && number >= least && number <= most
                   ? std::string{}
                   : fmt::format("cannot be '{}'; write a whole number from {} to {}", value, least, most);
    };
    return {check, fmt::format("INT in [{} - {}]", least, most)};
}

CLI::Validator name_with_ending(std::vector<std::string> endings, std::string what)
{
    auto const check = [endings = std::move(endings), what = std::move(what)](std::string& value) {
        std::string const ending = small_letters(std::filesystem::path(value).extension().string());
        if (ending.empty() || std::ranges::find(endings, ending) != endings.end())
            return std::string{};
        auto const all_but_last = std::span(endings).first(endings.size() - 1);
        return fmt::format("cannot be '{}': {} is a {}{}{} file", value, what, fmt::join(all_but_last, ", "),
                           all_but_last.empty() ? "" : " or ", endings.back());
    };
    return {check, ""};
}

void refuse_command_line(std::string const& what) { throw CLI::ParseError(what, CLI::ExitCodes::ValidationError); }

std::vector<std::string> words_of(CLI::Option const& option)
{
    std::string const type = option.get_type_name();
    std::size_t const brace = type.find('{');
    bool const listed = brace != std::string::npos && type.ends_with('}');
    if (!listed && type.find('|') == std::string::npos)
        return {};
    std::string const inside = listed ? type.substr(brace + 1, type.size() - brace - 2) : type;
    std::vector<std::string> words;
    for (std::size_t at = 0; at <= inside.size();) {
        std::size_t const end = std::min(inside.find_first_of(",|", at), inside.size());
        words.push_back(inside.substr(at, end - at));
        at = end + 1;
    }
    return words;
}

} // namespace tabard::cli
