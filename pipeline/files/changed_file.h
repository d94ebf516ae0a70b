#pragma once
#include "overlay/base/result.h"
#include "pipeline/files/inputs.h"

#include <cstddef>
#include <filesystem>
#include <string_view>

namespace tabard::pipeline {

/// Where the version of a file is kept that stood there before a command changed it: ".NAME.before" beside it, hidden.
std::filesystem::path version_before(std::filesystem::path const& file);

/// Changes an input in place: its bytes become `text`, and those it had are kept as its version_before(). Both or
/// neither. False where the text changes nothing: then nothing is written. Links are followed. Errors: as
/// OutputFile::rewrite(), io.
Result<bool> change_in_place(std::filesystem::path const& input, std::string_view text, Inputs const& inputs);

/// Takes the last such change back: the file and its version before change places, so that a second time brings the
/// change again. False where both are the same. Fails with not_found where there is no such version, io, or
/// invalid_input for one of more than `most_bytes`.
Result<bool> undo_change(std::filesystem::path const& file, std::size_t most_bytes);

} // namespace tabard::pipeline
