#pragma once
#include "pipeline/files/inputs.h"
#include "pipeline/files/temporary.h"

#include <cstddef>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

enum class Existing { keep, replace };

/// A result that is not there until it is whole. It is written under a temporary name beside its target and gets its
/// name by commit(); whatever ends the work before that, the target is what it was. What a killed writer left behind is
/// removed by the next one for the same target.
///
/// Never written to: an input, whatever its name and whatever `existing` says; a file that is to be kept, even if it
/// appeared in the meantime; a folder, a device, a pipe. A link is followed: the file it points to is replaced, and the
/// link stays. The mode of a file that is replaced stays.
class OutputFile {
public:
    /// Fails with invalid_input where the target is one of the above or its name ends in a slash; io where its folder
    /// is not there or cannot be written to. All that can be known before the work is said here.
    static Result<OutputFile> create(std::filesystem::path const& target, Existing existing, Inputs const& inputs);
    /// For the one thing that may write to an input: to change a file in place. commit() fails if it is no longer what
    /// it was when `inputs` saw it.
    static Result<OutputFile> rewrite(std::filesystem::path const& input, Inputs const& inputs);

    /// As readable as another: for one that holds the same things.
    void take_mode_of(OutputFile const& other) { m_mode = other.m_mode; }

    /// Where to write. The file exists and is empty; its extension is the target's.
    std::filesystem::path const& path() const { return m_temporary.path(); }
    /// The file that is to be: where links lead.
    std::filesystem::path const& target() const { return m_target; }

    /// Appends. Fails with io.
    Result<void> write(std::string_view bytes);
    Result<void> write(std::span<std::byte const> bytes);

    /// What went wrong while writing to path(), said of the target: nobody knows the temporary name.
    Error said_of_target(Error error) const;

    /// Brings the bytes to the disk and gives the file its name. Fails with io, also where an input changed; with
    /// invalid_input if somebody else made the target in the meantime and it is to be kept.
    Result<void> commit();

private:
    friend Result<void> commit_together(std::span<OutputFile> files);
    OutputFile(std::filesystem::path target, Temporary temporary, Existing existing, Inputs inputs);
    Result<void> settle();
    Result<void> give_name();

    std::filesystem::path m_target;
    Temporary m_temporary;
    Existing m_existing;
    Inputs m_inputs;
    std::optional<unsigned> m_mode; ///< that of the file that is replaced
};

/// As commit() of each, but none gets its name before all are on the disk: what can go wrong goes wrong before the
/// first. Fails with invalid_input where two have one target.
Result<void> commit_together(std::span<OutputFile> files);

/// Several results of one command, which get their names by commit_together().
class OutputFiles {
public:
    OutputFiles(Existing existing, Inputs inputs);

    /// A file with the bytes. Fails as OutputFile's create() and write().
    Result<void> write(std::filesystem::path const& target, std::string_view bytes);
    Result<void> write(std::filesystem::path const& target, std::span<std::byte const> bytes);
    /// For one that is filled by somebody else and then added.
    Result<OutputFile> create(std::filesystem::path const& target) const;
    void add(OutputFile file);

    Result<void> commit();

private:
    Existing m_existing;
    Inputs m_inputs;
    std::vector<OutputFile> m_files;
};

/// Writes the file as a whole or not at all.
Result<void> write_text(std::string_view text, std::filesystem::path const& target, Existing existing,
                        Inputs const& inputs);

} // namespace tabard::pipeline
