#include "cli/program.h"
#include "cli/values.h"

#include <map>
#include <string_view>

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::cli {

namespace {

std::vector<std::string> long_options(CLI::App const& app)
{
    std::vector<std::string> names;
    for (CLI::Option const* option : app.get_options()) {
        for (std::string const& name : option->get_lnames())
            names.push_back("--" + name);
    }
    return names;
}

std::vector<std::string> command_names(CLI::App const& program)
{
    std::vector<std::string> names;
    for (CLI::App const* command : program.get_subcommands({}))
        names.push_back(command->get_name());
    return names;
}

/// The words that a command's options and its first word choose from, as branches of a case.
std::string bash_values(CLI::App const& command)
{
    std::string cases;
    for (CLI::Option const* option : command.get_options()) {
        auto const words = words_of(*option);
        if (words.empty())
            continue;
        if (option->get_positional()) {
            cases += fmt::format("    \"{} \"*) listed=\"{}\" ;;\n", command.get_name(), fmt::join(words, " "));
            continue;
        }
        std::vector<std::string> names;
        for (std::string const& name : option->get_lnames())
            names.push_back(fmt::format("\"{} --{}\"", command.get_name(), name));
        for (std::string const& name : option->get_snames())
            names.push_back(fmt::format("\"{} -{}\"", command.get_name(), name));
        cases += fmt::format("    {}) listed=\"{}\" ;;\n", fmt::join(names, "|"), fmt::join(words, " "));
    }
    return cases;
}

std::string bash_completion(CLI::App const& program)
{
    std::string cases;
    std::string values;
    for (CLI::App const* command : program.get_subcommands({})) {
        cases += fmt::format("    {}) words=\"{}\" ;;\n", command->get_name(), fmt::join(long_options(*command), " "));
        values += bash_values(*command);
    }
    // Names are proposed a line each and never taken for patterns, since they may hold blanks and stars.
    return fmt::format("# bash completion for tabard: source this file, or put it in /etc/bash_completion.d\n"
                       "_tabard() {{\n"
                       "  local command=\"\" words=\"\" listed=\"\" current=\"${{COMP_WORDS[COMP_CWORD]}}\" flags=$- i "
                       "IFS=$' \\t\\n'\n"
                       "  for ((i = 1; i < COMP_CWORD; i++)); do\n"
                       "    case \"${{COMP_WORDS[i]}}\" in -*) ;; *) command=\"${{COMP_WORDS[i]}}\"; break ;; esac\n"
                       "  done\n"
                       "  case \"$command\" in\n"
                       "    \"\") words=\"{} {}\" ;;\n{}  esac\n"
                       "  case \"$command ${{COMP_WORDS[COMP_CWORD-1]}}\" in\n{}  esac\n"
                       "  set -f\n"
                       "  if [ -n \"$listed\" ] && [ \"${{current#-}}\" = \"$current\" ]; then\n"
                       "    COMPREPLY=($(compgen -W \"$listed\" -- \"$current\"))\n"
                       "  elif [ -z \"$command\" ] || [ \"${{current#-}}\" != \"$current\" ]; then\n"
                       "    COMPREPLY=($(compgen -W \"$words\" -- \"$current\"))\n"
                       "  else\n"
                       "    IFS=$'\\n'; COMPREPLY=($(compgen -f -- \"$current\"))\n"
                       "  fi\n"
                       "  case \"$flags\" in *f*) ;; *) set +f ;; esac\n"
                       "}}\n"
                       "complete -o filenames -F _tabard tabard\n",
                       fmt::join(command_names(program), " "), fmt::join(long_options(program), " "), cases, values);
}

/// In single quotes, with a backslash before each of `special`.
std::string quoted(std::string_view text, std::string_view special, std::string_view single_quote)
{
    std::string out = "'";
    for (char const c : text) {
        if (c == '\'') {
            out += single_quote;
            continue;
        }
        if (special.find(c) != std::string_view::npos)
            out += '\\';
        out += c;
    }
    return out + "'";
}

/// As zsh's _arguments and _describe read them, which end names at colons and descriptions at brackets.
std::string zsh_quoted(std::string_view text) { return quoted(text, "\\:[]", "'\\''"); }

/// One specification of _arguments(zshcompsys) for each name of an option.
std::string zsh_option(CLI::Option const& option)
{
    auto const words = words_of(option);
    std::string const action = words.empty() ? "_files" : fmt::format("({})", fmt::join(words, " "));
    std::string const value = option.get_expected_min() > 0 ? fmt::format("':value:{}'", action) : "";
    if (option.get_positional())
        return words.empty() ? "" : fmt::format("        '1:value:{}' \\\n", action);
    std::string out;
    for (std::string const& name : option.get_lnames())
        out += fmt::format("        --{}'['{}']'{} \\\n", name, zsh_quoted(option.get_description()), value);
    for (std::string const& name : option.get_snames())
        out += fmt::format("        -{}'['{}']'{} \\\n", name, zsh_quoted(option.get_description()), value);
    return out;
}

std::string zsh_completion(CLI::App const& program)
{
    std::string commands;
    std::string cases;
    for (CLI::App const* command : program.get_subcommands({})) {
        commands += fmt::format("    {}:{}\n", command->get_name(), zsh_quoted(command->get_description()));
        cases += fmt::format("    {})\n      _arguments \\\n", command->get_name());
        for (CLI::Option const* option : command->get_options())
            cases += zsh_option(*option);
        cases += "        '*:file:_files' ;;\n";
    }
    return fmt::format("#compdef tabard\n"
                       "# zsh completion for tabard: put it as _tabard into a folder of $fpath, or source it\n"
                       "_tabard() {{\n"
                       "  local -a commands\n"
                       "  commands=(\n{}  )\n"
                       "  if (( CURRENT == 2 )); then\n"
                       "    _describe command commands\n"
                       "    return\n"
                       "  fi\n"
                       "  local command=$words[2]\n"
                       "  shift words\n"
                       "  (( CURRENT-- ))\n"
                       "  case $command in\n{}  esac\n"
                       "}}\n"
                       "if [[ $funcstack[1] == _tabard ]]; then\n"
                       "  _tabard \"$@\"\n"
                       "else\n"
                       "  compdef _tabard tabard\n"
                       "fi\n",
                       commands, cases);
}

/// Single quotes as fish reads them.
std::string fish_quoted(std::string_view text) { return quoted(text, "\\", "\\'"); }

/// Flags take nothing; a word of a list, and no file; or a file.
std::string fish_value(CLI::Option const& option)
{
    if (option.get_expected_min() == 0)
        return "";
    auto const words = words_of(option);
    return words.empty() ? " -r" : fmt::format(" -x -a {}", fish_quoted(fmt::format("{}", fmt::join(words, " "))));
}

std::string fish_option(CLI::App const& command, CLI::Option const& option)
{
    std::string const seen = fmt::format("complete -c tabard -n '__fish_seen_subcommand_from {}'", command.get_name());
    if (option.get_positional())
        return words_of(option).empty() ? "" : fmt::format("{} -f{}\n", seen, fish_value(option).substr(3));
    std::string names;
    for (std::string const& name : option.get_snames())
        names += " -s " + name;
    for (std::string const& name : option.get_lnames())
        names += " -l " + name;
    return fmt::format("{}{}{} -d {}\n", seen, names, fish_value(option), fish_quoted(option.get_description()));
}

std::string fish_completion(CLI::App const& program)
{
    std::string out = "# fish completion for tabard\n";
    for (CLI::App const* command : program.get_subcommands({})) {
        out += fmt::format("complete -c tabard -n __fish_use_subcommand -f -a {} -d {}\n", command->get_name(),
                           fish_quoted(command->get_description()));
        for (CLI::Option const* option : command->get_options())
            out += fish_option(*command, *option);
    }
    return out;
}

} // namespace

void add_completion(CLI::App& program, Context& context)
{
    CLI::App& command = add_command(program, "completion", "Print completions for a shell",
                                    {"tabard completion bash > /etc/bash_completion.d/tabard"});
    using Writer = std::string (*)(CLI::App const&);
    static std::map<std::string, Writer> const shells{
        {"bash", bash_completion}, {"zsh", zsh_completion}, {"fish", fish_completion}};
    auto shell = std::make_shared<std::string>();
    command.add_option("SHELL", *shell, "bash, zsh or fish")->required()->check(one_of({"bash", "zsh", "fish"}));
    command.callback([shell, &program, &context] { context.console.print(shells.at(*shell)(program)); });
}

} // namespace tabard::cli
