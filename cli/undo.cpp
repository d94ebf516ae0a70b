#include "cli/command.h"
#include "cli/terminal_text.h"
#include "pipeline/cues/reader.h"
#include "pipeline/files/changed_file.h"

#include <filesystem>
#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace tabard::cli {

void add_undo(CLI::App& program, Context& context)
{
    auto const cues = std::make_shared<std::filesystem::path>();
    CLI::App& command = add_command(program, "undo", "Take back the last change that a command made to a cue file",
                                    {"tabard undo lesson.json"});
    command.add_option("CUES", *cues, "a cue file that was changed in place, as by check --place")->required();
    command.callback([cues, &context] {
        auto const undone = pipeline::undo_change(*cues, pipeline::kMostCueFileBytes);
        if (!undone)
            context.exit = fail(context.console, undone.error());
        else if (*undone)
            context.console.note(
                fmt::format("Wrote {} as it was before. The same command again brings the change back.",
                            shell_word(cues->string())));
        else
            context.console.note(fmt::format("{} is as it was before: nothing was written.", cues->string()));
    });
}

} // namespace tabard::cli
