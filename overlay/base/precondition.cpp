#include "overlay/base/precondition.h"

#include <cstdio>
#include <cstdlib>

namespace tabard::detail {

void precondition_failed(char const* condition, char const* file, int line) noexcept
{
    std::fprintf(stderr, "tabard: bug at %s:%d: %s does not hold\n", file, line, condition);
    std::abort();
}

} // namespace tabard::detail
