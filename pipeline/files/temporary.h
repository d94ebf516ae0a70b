#pragma once
#include "pipeline/files/descriptor.h"

#include <string>

namespace tabard::pipeline {

/// An empty file or folder beside where it is to go, made by this process alone: its name is not to be foreseen, an
/// entry that has it already (a planted link too) is never opened, and it is locked for as long as its writer lives.
/// Removed with all it holds unless renamed.
///
/// The name is ".STEM.part-KERNEL-RANDOM.EXTENSION", both words of sixteen hexadecimal digits: KERNEL stands for this
/// machine since it was started, RANDOM for the entry.
class Temporary {
public:
    enum class Readers { writer_only, as_usual }; ///< mode 0600, or what the umask allows

    /// Fails with io, said of `target`.
    static Result<Temporary> file(std::filesystem::path const& target, Readers readers);
    static Result<Temporary> folder(std::filesystem::path const& target);
    Temporary(Temporary&& other) noexcept;
    Temporary& operator=(Temporary&&) = delete;
    ~Temporary();

    std::filesystem::path const& path() const { return m_path; }
    Descriptor const& descriptor() const { return m_descriptor; }

    /// Gives the entry its name in place of what has it. Fails with io, said of `target`.
    Result<void> replace(std::filesystem::path const& target);
    /// Gives the entry its name where nothing has it, on every file system. Fails with invalid_input where something
    /// has it, else io, said of `target`.
    Result<void> appear_as(std::filesystem::path const& target);

private:
    Temporary(std::filesystem::path path, Descriptor descriptor);
    std::filesystem::path m_path; ///< empty once renamed or moved from
    Descriptor m_descriptor;
};

/// Removes what dead writers left for this target: what can be locked, and was made on this machine since it was
/// started or has not been written to for a day (a lock of another machine may not show here).
void remove_left_behind(std::filesystem::path const& target);

/// The same for all targets of a folder.
void remove_all_left_behind(std::filesystem::path const& folder);

/// "'film.mp4' exists; --force replaces it".
Error exists_error(std::filesystem::path const& target);

/// Brings the names in a folder to the disk, so that they outlive a power cut.
void sync_folder(std::filesystem::path const& folder);

/// The folder that a target lies in: "." for a bare name.
std::filesystem::path folder_of(std::filesystem::path const& target);

} // namespace tabard::pipeline
