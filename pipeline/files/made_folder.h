#pragma once
#include "overlay/base/result.h"

#include <filesystem>
#include <vector>

namespace tabard::pipeline {

/// A folder for results that is there from the beginning of the work, made with those above it where they are not
/// there. Where this ends, what it made and what is still empty is taken away again: work that fails leaves no folder.
class MadeFolder {
public:
    /// Fails with io.
    static Result<MadeFolder> create(std::filesystem::path const& folder);

    MadeFolder(MadeFolder&& other) noexcept;
    MadeFolder& operator=(MadeFolder&& other) noexcept;
    ~MadeFolder();

private:
    explicit MadeFolder(std::vector<std::filesystem::path> made);
    std::vector<std::filesystem::path> m_made; ///< the innermost first
};

} // namespace tabard::pipeline
