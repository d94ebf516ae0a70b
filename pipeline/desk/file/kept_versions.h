#pragma once
#include "overlay/base/result.h"

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// A whole text of the cue file that is kept for its author to go back to.
struct KeptVersion {
    std::string id;        ///< "00000012"
    std::int64_t when = 0; ///< seconds since 1970 UTC
    std::string what;      ///< why it was kept: "Before the first change of the day"
    std::string digest;    ///< text_digest() of it
};

/// The last ten of them, in a folder.
class KeptVersions {
public:
    explicit KeptVersions(std::filesystem::path folder) : m_folder(std::move(folder)) {}

    /// The newest first. What cannot be read is left out.
    std::vector<KeptVersion> list() const;
    /// Fails with not_found.
    Result<std::string> text(std::string_view id) const;
    /// Keeps a text, unless the newest is the same; the oldest beyond ten goes. Fails with io.
    Result<void> keep(std::string_view text, std::string_view what, std::int64_t now) const;

private:
    std::filesystem::path m_folder;
};

} // namespace tabard::pipeline
