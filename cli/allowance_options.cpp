#include "cli/allowance_options.h"

#include "cli/values.h"

#include <CLI/CLI.hpp>

namespace tabard::cli {

void add_allowance_options(CLI::App& command, AllowanceOptions& options)
{
    constexpr int kMostJobs = 1024;
    command
        .add_option("--jobs", options.jobs,
                    "How much to do at the same time; if not given, one for each core. The result is the same")
        ->check(whole_number(1, kMostJobs));
    command.add_option("--memory", options.memory,
                       "The most memory to use, about, such as 800M or 2G; if not given, a quarter of what is free");
}

Result<pipeline::Allowance> allowance(AllowanceOptions const& options)
{
    pipeline::Allowance allowance{options.jobs, std::nullopt};
    if (!options.memory.empty()) {
        TRY_ASSIGN(allowance.memory, pipeline::parse_memory(options.memory));
    }
    return allowance;
}

} // namespace tabard::cli
