#include "tests/support/paths.h"

#include <filesystem>

namespace tabard::tests {

std::filesystem::path source_folder() { return TABARD_SOURCE_DIR; }
std::filesystem::path build_folder() { return TABARD_BINARY_DIR; }

} // namespace tabard::tests
