#pragma once
#include "cli/command.h"

#include <memory>

namespace tabard::cli {

/// The whole command line: every command with its options. The source of --help, man page and completions.
std::unique_ptr<CLI::App> make_program(Context& context);

// One line a command, in the order of --help.
void add_start(CLI::App& program, Context& context);
void add_desk(CLI::App& program, Context& context);
void add_sheet(CLI::App& program, Context& context);
void add_check(CLI::App& program, Context& context);
void add_listen(CLI::App& program, Context& context);
void add_publish(CLI::App& program, Context& context);
void add_retime(CLI::App& program, Context& context);
void add_transpose(CLI::App& program, Context& context);
void add_export(CLI::App& program, Context& context);
void add_chord(CLI::App& program, Context& context);
void add_render(CLI::App& program, Context& context);
void add_still(CLI::App& program, Context& context);
void add_jobs(CLI::App& program, Context& context);
void add_cache(CLI::App& program, Context& context);
void add_undo(CLI::App& program, Context& context);
void add_completion(CLI::App& program, Context& context);
void add_manual(CLI::App& program, Context& context);

} // namespace tabard::cli
