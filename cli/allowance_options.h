#pragma once
#include "pipeline/machine/allowance.h"

#include <optional>
#include <string>

namespace CLI {
class App;
}

namespace tabard::cli {

/// What every command that can keep a whole machine busy asks for.
struct AllowanceOptions {
    std::optional<int> jobs;
    std::string memory; ///< empty: a share of what is free
};
void add_allowance_options(CLI::App& command, AllowanceOptions& options);

/// Errors: invalid_input for what is no size of memory.
Result<pipeline::Allowance> allowance(AllowanceOptions const& options);

} // namespace tabard::cli
