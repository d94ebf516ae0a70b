#pragma once
#include "overlay/base/result.h"

#include <filesystem>
#include <vector>

namespace tabard::pipeline {

enum class Existing { keep, replace };

/// A result that is not there until it is whole: it is written under a temporary name beside its target and renamed by
/// commit(). Whatever ends the work before that, the target is what it was; what a killed run left behind is removed by
/// the next one for the same target.
class PendingFile {
public:
    /// Fails with invalid_input if the target is one of `inputs`, or exists and is to be kept; io if its folder
    /// is not there or cannot be written to.
    static Result<PendingFile> create(std::filesystem::path const& target, Existing existing,
                                      std::vector<std::filesystem::path> const& inputs);
    PendingFile(PendingFile&& other) noexcept;
    PendingFile& operator=(PendingFile&&) = delete;
    ~PendingFile(); ///< removes the temporary file unless committed

    /// Where to write. The file exists and is empty; its extension is the target's.
    std::filesystem::path const& path() const { return m_temporary; }

    /// What went wrong while writing, said of the target: nobody knows the temporary name.
    Error said_of_target(Error error) const;

    /// Brings the bytes to the disk and gives the file its name. Fails with io; invalid_input if somebody else made the
    /// target in the meantime and it is to be kept.
    Result<void> commit();

private:
    PendingFile(std::filesystem::path target, std::filesystem::path temporary, Existing existing);
    std::filesystem::path m_target;
    std::filesystem::path m_temporary; ///< empty once committed or moved from
    Existing m_existing;
};

} // namespace tabard::pipeline
