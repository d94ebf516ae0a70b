#include "cli/command.h"
#include "cli/json_line.h"
#include "pipeline/render/group_cache.h"

#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace tabard::cli {
namespace {

struct CacheOptions {
    bool clear = false;
    bool json = false;
};

Result<void> run(CacheOptions const& options, Console const& console)
{
    auto const folder = pipeline::GroupCache::default_folder();
    if (!folder)
        return Error{ErrorKind::not_found, "there is no cache folder: neither XDG_CACHE_HOME nor HOME is set"};
    pipeline::GroupCache cache(*folder);
    pipeline::GroupCache::Usage usage = cache.usage();
    if (options.clear) {
        TRY_ASSIGN(usage, cache.clear());
    }
    double const megabytes = static_cast<double>(usage.bytes) / 1e6;
    if (options.json)
        console.print(json_line({{"version", 1},
                                 {"folder", folder->string()},
                                 {options.clear ? "removed" : "entries", usage.entries},
                                 {"bytes", usage.bytes},
                                 {"limit", cache.limit()}}));
    else if (options.clear)
        console.print(fmt::format("{}: {} entries, {:.1f} MB, removed\n", folder->string(), usage.entries, megabytes));
    else
        console.print(fmt::format("{}: {} entries, {:.1f} MB of at most {:.0f} MB\n", folder->string(), usage.entries,
                                  megabytes, static_cast<double>(cache.limit()) / 1e6));
    return {};
}

} // namespace

void add_cache(CLI::App& program, Context& context)
{
    auto const options = std::make_shared<CacheOptions>();
    CLI::App& command =
        add_command(program, "cache", "Show or empty the store of encoded groups, which makes the next render fast",
                    {"tabard cache", "tabard cache --clear"});
    command.add_flag("--clear", options->clear, "Remove all of it; the next render encodes everything again");
    command.add_flag("--json", options->json, "Print it for a program");
    command.callback([options, &context] {
        if (auto const done = run(*options, context.console); !done)
            context.exit = fail(context.console, done.error());
    });
}

} // namespace tabard::cli
