#pragma once
#include "overlay/base/result.h"
#include "pipeline/files/inputs.h"

#include <filesystem>
#include <span>
#include <string>
#include <string_view>

// Names of files in the lesson's folder that the page gives: names alone, never paths.
namespace tabard::pipeline {

/// Fails with invalid_input unless it is a plain name: UTF-8 without control characters, at most 200 bytes, no slash,
/// no dot or dash at its beginning, no blank at its ends.
Result<void> check_plain_name(std::string_view name);

/// The same, and it ends as one of `endings` (".mp4"; small or capital letters) with something before that.
Result<void> check_plain_name(std::string_view name, std::span<std::string_view const> endings);

/// What is at the place of an output.
enum class AtOutput { nothing, file, folder };

/// Fails with invalid_input where a command must not write there, with or without --force: a link (it leads elsewhere),
/// a device or a pipe, an input of the lesson.
Result<AtOutput> look_at_output(std::filesystem::path const& output, Inputs const& inputs);

/// Fails with not_found unless `folder` has a file of this plain name.
Result<std::filesystem::path> file_in(std::filesystem::path const& folder, std::string_view name);

} // namespace tabard::pipeline
