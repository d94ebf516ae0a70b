#include "cli/program.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace tabard::cli {

namespace {

/// Text as roff wants it: no line may start with a dot or a quote, and a hyphen that is typed is written \-.
std::string roff(std::string const& text)
{
    std::string out;
    for (char const c : text) {
        bool const line_start = out.empty() || out.back() == '\n';
        if (line_start && (c == '.' || c == '\''))
            out += "\\&";
        if (c == '-' || c == '\\')
            out += '\\';
        out += c == '\\' ? 'e' : c;
    }
    return out;
}

std::string option_entry(CLI::Option const& option)
{
    std::string name = option.get_name(option.get_positional(), true);
    for (std::size_t at = name.find(','); at != std::string::npos; at = name.find(',', at + 2))
        name.insert(at + 1, " ");
    std::string const value =
        option.get_expected_min() > 0 && !option.get_positional() ? " " + option.get_type_name() : "";
    return fmt::format(".TP\n\\fB{}\\fR{}\n{}\n", roff(name), roff(value), roff(option.get_description()));
}

std::string options_of(CLI::App const& app)
{
    std::string out;
    for (CLI::Option const* option : app.get_options())
        out += option_entry(*option);
    return out;
}

std::string manual_page(CLI::App const& program)
{
    std::string out = fmt::format(".TH TABARD 1 \"\" \"tabard {}\" \"User Commands\"\n.SH NAME\ntabard \\- {}\n",
                                  TABARD_VERSION, roff(program.get_description()));
    out += ".SH SYNOPSIS\n\\fBtabard\\fR COMMAND [OPTIONS] FILE\n.SH OPTIONS\n" + options_of(program);
    for (CLI::App const* command : program.get_subcommands({})) {
        out += fmt::format(".SH \"TABARD {}\"\n{}.\n.PP\n.nf\n{}.fi\n", CLI::detail::to_lower(command->get_name()),
                           roff(command->get_description()), roff(command->get_footer()));
        out += options_of(*command);
    }
    out += ".SH EXIT STATUS\n"
           ".TP\n0\ndone\n"
           ".TP\n1\nthe answer is no: findings of error severity\n"
           ".TP\n2\nthe command line is wrong\n"
           ".TP\n3\nan input cannot be read or understood\n"
           ".TP\n4\nthe work itself failed: disk, encoder\n"
           ".TP\n129\nstopped, because the terminal went away (SIGHUP)\n"
           ".TP\n130\nstopped by Ctrl-C or a request to end (SIGINT, SIGTERM)\n"
           ".SH ENVIRONMENT\n"
           ".TP\nNO_COLOR\nset to anything: no colours in messages\n"
           ".TP\nTABARD_PROGRESS\nthe number of an open file descriptor (2 or more): while a film is read or made, "
           "lines as \"0.4321 rendering\" go there, the share that is done and what is being done\n"
           ".TP\nTABARD_TEMPLATES\nthe folder with themes, schema and starter cue files\n"
           ".TP\nXDG_CACHE_HOME\nwhere encoded parts of films are kept, in tabard/ (default: ~/.cache)\n"
           ".TP\nXDG_STATE_HOME\nwhere the desk keeps its journal and older versions, in tabard/ (default: "
           "~/.local/state)\n";
    return out;
}

} // namespace

void add_manual(CLI::App& program, Context& context)
{
    CLI::App& command = add_command(program, "manual", "Print the man page", {"tabard manual | man -l -"});
    command.callback([&program, &context] { context.console.print(manual_page(program)); });
}

} // namespace tabard::cli
