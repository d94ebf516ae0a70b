#pragma once
#include <string_view>

// Progress for programs: where the environment says TABARD_PROGRESS=N and descriptor N (2 or more) was open when this
// program began, lines as "0.4321 rendering" go there: the share that is done, and what is being done.
namespace tabard::pipeline {

/// Looks for the descriptor; main does this before anything opens a file, which could get the same number.
void find_progress_descriptor();

/// Whether somebody wants these lines.
bool progress_is_wanted();

/// Writes a line. Where there is no room for it now it is left out; where nobody reads any more, all that follow too.
void tell_progress(double share_done, std::string_view label);

} // namespace tabard::pipeline
