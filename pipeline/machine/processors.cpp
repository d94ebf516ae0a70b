#include "pipeline/machine/processors.h"

#include "pipeline/machine/control_groups.h"

#include <algorithm>
#include <optional>
#include <thread>

#include <sched.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

int processors_to_run_on()
{
    // A machine may have more processors than fit into a cpu_set_t.
    for (int most = CPU_SETSIZE; most <= 1 << 20; most *= 2) {
        std::size_t const bytes = CPU_ALLOC_SIZE(most);
        cpu_set_t* const set = CPU_ALLOC(most);
        if (!set)
            break;
        bool const known = sched_getaffinity(0, bytes, set) == 0;
        int const count = known ? CPU_COUNT_S(bytes, set) : 0;
        CPU_FREE(set);
        if (known)
            return count;
    }
    return static_cast<int>(std::thread::hardware_concurrency());
}

std::optional<std::int64_t> granted(std::optional<std::int64_t> quota, std::optional<std::int64_t> period)
{
    bool const limits = quota && period && *quota > 0 && *period > 0;
    return limits ? std::optional((*quota + *period - 1) / *period) : std::nullopt;
}

std::optional<std::int64_t> granted_by(fs::path const& group)
{
    if (auto const words = first_words(group / "cpu.max"); words.size() == 2)
        return granted(kernel_number(words[0]), kernel_number(words[1]));
    return granted(first_number(group / "cpu.cfs_quota_us"), first_number(group / "cpu.cfs_period_us"));
}

} // namespace

int usable_processors(fs::path const& root)
{
    std::int64_t most = processors_to_run_on();
    for (fs::path const& group : control_groups("cpu", root))
        most = std::min(most, granted_by(group).value_or(most));
    return static_cast<int>(std::max<std::int64_t>(most, 1));
}

} // namespace tabard::pipeline
