#pragma once
#include <filesystem>

namespace tabard::tests {

// Functions and not macros of the compiler's command line, so that compiled tests do not depend on where the checkout
// lies.
std::filesystem::path source_folder(); ///< the checkout
std::filesystem::path build_folder();  ///< of the preset that runs

} // namespace tabard::tests
