#include "cli/program.h"
#include "cli/values.h"

#include <map>

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

std::string bash_completion(CLI::App const& program)
{
    std::string cases;
    for (CLI::App const* command : program.get_subcommands({}))
        cases += fmt::format("    {}) words=\"{}\" ;;\n", command->get_name(), fmt::join(long_options(*command), " "));
    // Names are proposed a line each and never taken for patterns, since they may hold blanks and stars.
    return fmt::format(
        "# bash completion for tabard: source this file, or put it in /etc/bash_completion.d\n"
        "_tabard() {{\n"
        "  local command=\"\" words=\"\" current=\"${{COMP_WORDS[COMP_CWORD]}}\" flags=$- i IFS=$' \\t\\n'\n"
        "  for ((i = 1; i < COMP_CWORD; i++)); do\n"
        "    case \"${{COMP_WORDS[i]}}\" in -*) ;; *) command=\"${{COMP_WORDS[i]}}\"; break ;; esac\n"
        "  done\n"
        "  case \"$command\" in\n"
        "    \"\") words=\"{} {}\" ;;\n{}  esac\n"
        "  set -f\n"
        "  if [ -z \"$command\" ] || [ \"${{current#-}}\" != \"$current\" ]; then\n"
        "    COMPREPLY=($(compgen -W \"$words\" -- \"$current\"))\n"
        "  else\n"
        "    IFS=$'\\n'; COMPREPLY=($(compgen -f -- \"$current\"))\n"
        "  fi\n"
        "  case \"$flags\" in *f*) ;; *) set +f ;; esac\n"
        "}}\n"
        "complete -o filenames -F _tabard tabard\n",
        fmt::join(command_names(program), " "), fmt::join(long_options(program), " "), cases);
}

std::string zsh_completion(CLI::App const& program)
{
    return "#compdef tabard\nautoload -U +X bashcompinit && bashcompinit\n" + bash_completion(program);
}

/// Single quotes as fish reads them.
std::string fish_quoted(std::string const& text)
{
    std::string out = "'";
    for (char const c : text) {
        if (c == '\'' || c == '\\')
            out += '\\';
        out += c;
    }
    return out + "'";
}

std::string fish_completion(CLI::App const& program)
{
    std::string out = "# fish completion for tabard\n";
    for (CLI::App const* command : program.get_subcommands({})) {
        out += fmt::format("complete -c tabard -n __fish_use_subcommand -a {} -d {}\n", command->get_name(),
                           fish_quoted(command->get_description()));
        for (CLI::Option const* option : command->get_options()) {
            for (std::string const& name : option->get_lnames())
                out += fmt::format("complete -c tabard -n '__fish_seen_subcommand_from {}' -l {} -d {}\n",
                                   command->get_name(), name, fish_quoted(option->get_description()));
        }
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
