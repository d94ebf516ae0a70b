#include "cli/help.h"

namespace tabard::cli {

std::string HelpFormatter::make_usage(CLI::App const* app, std::string name) const
{
    std::string const examples = app->get_footer();
    return (examples.empty() ? "" : "\n" + examples) + CLI::Formatter::make_usage(app, std::move(name));
}

} // namespace tabard::cli
