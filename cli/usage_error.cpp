#include "cli/usage_error.h"

#include "overlay/base/nearest_word.h"

#include <algorithm>
#include <array>
#include <filesystem>
#include <iterator>
#include <string_view>
#include <system_error>

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::cli {
namespace {

namespace fs = std::filesystem;
using Words = std::vector<std::string>;

/// Hyphens that word processors and phones make of "--".
constexpr std::array<std::string_view, 3> kDashes{"\u2013", "\u2014", "\u2212"};

Words command_names(CLI::App& program)
{
    Words names;
    for (CLI::App const* command : program.get_subcommands([](CLI::App*) { return true; }))
        names.push_back(command->get_name());
    return names;
}

CLI::App* command_named(CLI::App& program, std::string const& name)
{
    auto const named = program.get_subcommands([&](CLI::App* command) { return command->check_name(name); });
    return named.empty() ? nullptr : named.front();
}

CLI::App* command_of(CLI::App& program, Words const& words)
{
    for (std::string const& word : words)
        if (!word.starts_with('-'))
            return command_named(program, word);
    return nullptr;
}

/// "--output" for "-o", "CUES" for what has no dashes.
std::string shown_name(CLI::Option const& option)
{
    if (!option.get_lnames().empty())
        return "--" + option.get_lnames().front();
    return option.get_snames().empty() ? option.get_name() : "-" + option.get_snames().front();
}

std::optional<std::string> nearest(std::string_view word, Words const& candidates)
{
    std::vector<std::string_view> const views(candidates.begin(), candidates.end());
    auto const near = nearest_word(word, views);
    return near ? std::optional{std::string(*near)} : std::nullopt;
}

/// The first example of the command's help that names the option; its first example where none does.
std::string example_of(CLI::App const& command, CLI::Option const* option)
{
    std::string const footer = command.get_footer();
    std::string first;
    for (std::size_t at = footer.find("\n  "); at != std::string::npos; at = footer.find("\n  ", at + 1)) {
        std::string const line = footer.substr(at + 3, footer.find('\n', at + 3) - at - 3);
        first = first.empty() ? line : first;
        if (!option || option->get_positional())
            break;
        for (std::string const& name : option->get_lnames())
            if (line.find("--" + name) != std::string::npos)
                return line;
        for (std::string const& name : option->get_snames())
            if (line.find(" -" + name + " ") != std::string::npos)
                return line;
    }
    return first;
}

std::string with_example(std::string what, CLI::App const& command, CLI::Option const* option)
{
    std::string const example = example_of(command, option);
    return example.empty() ? what : fmt::format("{}; for example: {}", what, example);
}

/// An option of the command or of the whole program, without what follows a '='.
CLI::Option const* find_option(CLI::App& program, CLI::App& command, std::string const& word)
{
    std::string const name = word.substr(0, word.find('='));
    CLI::Option const* option = command.get_option_no_throw(name);
    return option ? option : program.get_option_no_throw(name);
}

bool are_flags(CLI::App& program, CLI::App& command, std::string const& word)
{
    return std::all_of(word.begin() + 1, word.end(), [&](char letter) {
        return find_option(program, command, std::string{'-', letter}) != nullptr;
    });
}

std::string unknown_option(CLI::App& program, CLI::App& command, std::string const& word)
{
    Words names;
    for (CLI::App const* app : {&command, &program})
        for (CLI::Option const* option : app->get_options())
            for (std::string const& name : option->get_lnames())
                names.push_back("--" + name);
    std::string plain = word.substr(0, word.find('='));
    for (std::string_view const dash : kDashes)
        if (plain.starts_with(dash))
            plain.replace(0, dash.size(), "--");
    if (!plain.starts_with("--"))
        plain.insert(0, "-");
    std::string const caller = &command == &program ? "tabard" : "tabard " + command.get_name();
    std::string const what = fmt::format("'{}' has no option '{}'", caller, word);
    auto const near = nearest(plain, names);
    return near ? fmt::format("{}; did you mean '{}'?", what, *near) : what;
}

/// The first word that looks like an option and is none. What follows an option that takes a value is that value.
std::optional<std::string> first_unknown_option(CLI::App& program, CLI::App& command, Words const& words)
{
    for (std::size_t i = 0; i < words.size(); ++i) {
        std::string const& word = words[i];
        if (word == "--")
            break;
        bool const long_dash = std::ranges::any_of(kDashes, [&](auto dash) { return word.starts_with(dash); });
        if (!long_dash && (word.size() < 2 || word[0] != '-'))
            continue;
        CLI::Option const* option = find_option(program, command, word);
        if (!option && (long_dash || word.starts_with("--") || !are_flags(program, command, word)))
            return unknown_option(program, command, word);
        if (option && option->get_expected_min() > 0 && word.find('=') == std::string::npos)
            ++i;
    }
    return std::nullopt;
}

/// "my lesson.json" where words that stand side by side name a file together.
std::optional<std::string> unquoted_name(Words const& words, std::string const& extra)
{
    for (std::size_t begin = 0; begin < words.size(); ++begin) {
        std::string name = words[begin];
        for (std::size_t i = begin + 1; i < std::min(words.size(), begin + 8); ++i) {
            name += " " + words[i];
            std::error_code failed;
            bool const holds = std::find(words.begin() + static_cast<std::ptrdiff_t>(begin),
                                         words.begin() + static_cast<std::ptrdiff_t>(i) + 1,
                                         extra) != words.begin() + static_cast<std::ptrdiff_t>(i) + 1;
            if (holds && fs::exists(name, failed))
                return name;
        }
    }
    return std::nullopt;
}

std::string one_word_too_many(CLI::App& command, Words const& words, std::string const& extra)
{
    if (auto const name = unquoted_name(words, extra))
        return fmt::format("a name with spaces stands in quotes: \"{}\"", *name);
    std::string const what = fmt::format("'{}' is one word too many for 'tabard {}'", extra, command.get_name());
    CLI::Option const* output = command.get_option_no_throw("--output");
    if (output && output->count() == 0 && fs::path(extra).has_extension())
        return fmt::format("{}; write -o {} for the file to write", what, extra);
    return fmt::format("{}; put a name with spaces in quotes", what);
}

/// CLI11 says "--output is required" and "--format: 1 required TEXT missing": the option's name comes first.
CLI::Option const* option_named_first(CLI::App& command, std::string const& message)
{
    return command.get_option_no_throw(message.substr(0, message.find_first_of(" :,")));
}

std::string missing(CLI::App& command, std::string const& message)
{
    CLI::Option const* option = option_named_first(command, message);
    std::string const name = option ? shown_name(*option) : message.substr(0, message.find(" is required"));
    std::string const text =
        option && option->get_positional() ? fmt::format("{} ({})", name, option->get_description()) : name;
    return with_example(fmt::format("{} is missing", text), command, option);
}

std::string in_words(CLI::App& command, Words const& words, CLI::ParseError const& wrong)
{
    std::string message = wrong.what();
    if (dynamic_cast<CLI::RequiredError const*>(&wrong) && message.find(" is required") != std::string::npos)
        return missing(command, message);
    if (dynamic_cast<CLI::ArgumentMismatch const*>(&wrong)) {
        CLI::Option const* option = option_named_first(command, message);
        if (option && message.find("missing") != std::string::npos)
            return with_example(fmt::format("{} needs a value behind it", shown_name(*option)), command, option);
    }
    // "The following argument was not expected: film.mp4", the last first where there are several.
    if (dynamic_cast<CLI::ExtrasError const*>(&wrong))
        if (std::size_t const space = message.rfind(' '); space != std::string::npos)
            return one_word_too_many(command, words, message.substr(space + 1));
    if (dynamic_cast<CLI::ValidationError const*>(&wrong))
        if (std::size_t const colon = message.find(": "); colon != std::string::npos)
            message.erase(colon, 1);
    return message;
}

std::string said_of_file(std::string const& word)
{
    std::string const name = word.find(' ') == std::string::npos ? word : "'" + word + "'";
    fs::path const extension = fs::path(word).extension();
    if (extension == ".json")
        return fmt::format("; a command comes first, as in: tabard check {}", name);
    for (char const* film : {".mp4", ".mov", ".mkv", ".webm", ".MP4", ".MOV"})
        if (extension == film)
            return fmt::format("; a command comes first, as in: tabard start {}", name);
    return "";
}

} // namespace

std::string usage_error(CLI::App& program, Words const& words, CLI::ParseError const& wrong)
{
    CLI::App* command = command_of(program, words);
    if (!command) {
        auto const unknown = first_unknown_option(program, program, words);
        return unknown.value_or("a command is missing; for example: tabard check lesson.json") +
               "\nTry 'tabard --help'.";
    }
    auto const unknown = first_unknown_option(program, *command, words);
    return fmt::format("{}\nTry 'tabard {} --help'.", unknown ? *unknown : in_words(*command, words, wrong),
                       command->get_name());
}

std::optional<std::string> unknown_command(CLI::App& program, Words const& words)
{
    auto const word = std::ranges::find_if(words, [](std::string const& w) { return !w.starts_with('-'); });
    if (word == words.end() || command_named(program, *word))
        return std::nullopt;
    std::string const what = fmt::format("there is no command '{}'", *word);
    if (std::string const file = said_of_file(*word); !file.empty())
        return what + file;
    if (auto const near = nearest(*word, command_names(program)))
        return fmt::format("{}; did you mean 'tabard {}'?", what, *near);
    return what + ". 'tabard --help' lists them.";
}

} // namespace tabard::cli
