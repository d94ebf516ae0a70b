#pragma once
#include "pipeline/files/inputs.h"
#include "pipeline/files/temporary.h"

namespace tabard::pipeline {

/// A folder of results that is not there until it is whole, as OutputFile is for one file. It may take the place of an
/// empty folder, never of one that holds something.
class OutputFolder {
public:
    /// `target` may end in a slash. Fails with invalid_input where something is there that is no empty folder; io where
    /// its parent is not there or cannot be written to.
    static Result<OutputFolder> create(std::filesystem::path const& target, Inputs const& inputs);

    /// The folder to fill. It exists and is empty.
    std::filesystem::path const& path() const { return m_temporary.path(); }

    /// As OutputFile's.
    Error said_of_target(Error error) const;
    Result<void> commit();

private:
    OutputFolder(std::filesystem::path target, Temporary temporary, Inputs inputs);
    std::filesystem::path m_target;
    Temporary m_temporary;
    Inputs m_inputs;
};

/// A file that must not be there yet, such as those of an OutputFolder. Fails with io.
Result<void> write_new_file(std::string_view bytes, std::filesystem::path const& path);

/// Makes the folder and those above it where they are not there. Fails with io.
Result<void> make_folder(std::filesystem::path const& folder);

} // namespace tabard::pipeline
