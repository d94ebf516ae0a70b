#pragma once
#include <string>

#include <CLI/CLI.hpp>

namespace tabard::cli {

/// --help with the examples first: people read those before anything else.
class HelpFormatter : public CLI::Formatter {
public:
    HelpFormatter() { column_width(34); }
    std::string make_usage(CLI::App const* app, std::string name) const override;
    std::string make_footer(CLI::App const*) const override { return ""; }
};

} // namespace tabard::cli
