#include "pipeline/files/changed_file.h"

#include "pipeline/files/file_text.h"
#include "pipeline/files/output_file.h"

#include <array>

#include <fmt/format.h>

namespace tabard::pipeline {

namespace fs = std::filesystem;

constexpr std::size_t kMostBytes = std::size_t{1} << 30; ///< what people change by hand is far smaller

fs::path version_before(fs::path const& file)
{
    return file.parent_path() / ("." + file.filename().string() + ".before");
}

Result<bool> change_in_place(fs::path const& input, std::string_view text, Inputs const& inputs)
{
    TRY_ASSIGN(OutputFile changed, OutputFile::rewrite(input, inputs));
    TRY_ASSIGN(std::string const old, read_file_text(input, kMostBytes));
    if (text == old)
        return false;
    TRY_ASSIGN(OutputFile before, OutputFile::create(version_before(changed.target()), Existing::replace, {}));
    before.take_mode_of(changed);
    TRY_VOID(before.write(old));
    TRY_VOID(changed.write(text));
    std::array files{std::move(before), std::move(changed)};
    TRY_VOID(commit_together(files));
    return true;
}

Result<bool> undo_change(fs::path const& file, std::size_t most_bytes)
{
    Inputs inputs;
    inputs.add(file);
    std::error_code failed;
    fs::path const real = fs::weakly_canonical(file, failed);
    fs::path const before = version_before(failed ? file : real);
    if (!fs::exists(before, failed))
        return Error{ErrorKind::not_found,
                     fmt::format("there is nothing to undo: no command has changed '{}'", file.string())};
    TRY_ASSIGN(std::string const text, read_file_text(before, most_bytes));
    return change_in_place(file, text, inputs);
}

} // namespace tabard::pipeline
