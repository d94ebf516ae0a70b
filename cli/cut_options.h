#pragma once
#include "pipeline/workspace/workspace.h"

#include <string>

namespace CLI {
class App;
class Option;
} // namespace CLI

namespace tabard::cli {

/// Adds the options of a cut. `name` is that of the list itself, which it gives: "--by" or "--through". The others ask
/// for it.
CLI::Option* add_cut_options(CLI::App& command, std::string const& name, std::string const& help,
                             pipeline::CutRequest& request);

/// Adds CUES, --through and what belongs to it.
void add_lesson_options(CLI::App& command, pipeline::LessonRequest& request);

} // namespace tabard::cli
