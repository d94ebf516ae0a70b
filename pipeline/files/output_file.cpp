#include "pipeline/files/output_file.h"

#include <algorithm>
#include <cerrno>

#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

constexpr unsigned kPermissions = 0777;

Error refused(fs::path const& target, std::string_view why)
{
    return {ErrorKind::invalid_input, fmt::format("'{}' {}", target.string(), why)};
}

/// What has the target's name, links followed; none where nothing has.
Result<std::optional<struct stat>> status_of(fs::path const& target)
{
    struct stat status {};
    if (::stat(target.c_str(), &status) == 0)
        return std::optional{status};
    if (errno == ENOENT)
        return std::optional<struct stat>{};
    return io_error("write", target, errno);
}

bool is_there(fs::path const& target)
{
    struct stat status {};
    return ::lstat(target.c_str(), &status) == 0;
}

Result<void> check_kind(fs::path const& target, std::optional<struct stat> const& there)
{
    if (target.empty())
        return Error{ErrorKind::invalid_input, "a file to write needs a name"};
    if (there && S_ISDIR(there->st_mode))
        return refused(target, "is a folder");
    if (there && !S_ISREG(there->st_mode))
        return refused(target, "is no ordinary file");
    if (!target.has_filename() || target.filename() == "." || target.filename() == "..")
        return refused(target, "names a folder; a file is written");
    return {};
}

/// Where the links of a target lead.
Result<fs::path> followed(fs::path const& target)
{
    std::error_code failed;
    if (!fs::is_symlink(fs::symlink_status(target, failed)))
        return target;
    fs::path const end = fs::weakly_canonical(target, failed);
    return failed ? Result<fs::path>(io_error("write", target, failed.value())) : end;
}

/// Whether the name still stands for the open file: in a folder of many, somebody may have put another there.
bool is_still_ours(Temporary const& temporary)
{
    struct stat named {};
    struct stat opened {};
    return ::lstat(temporary.path().c_str(), &named) == 0 && ::fstat(temporary.descriptor().get(), &opened) == 0 &&
           named.st_dev == opened.st_dev && named.st_ino == opened.st_ino;
}

} // namespace

OutputFile::OutputFile(fs::path target, Temporary temporary, Existing existing, Inputs inputs)
    : m_target(std::move(target)), m_temporary(std::move(temporary)), m_existing(existing), m_inputs(std::move(inputs))
{
}

Result<OutputFile> OutputFile::create(fs::path const& target, Existing existing, Inputs const& inputs)
{
    if (inputs.hold(target))
        return refused(target, "is an input and is never written to; give another name");
    TRY_ASSIGN(auto const there, status_of(target));
    TRY_VOID(check_kind(target, there));
    TRY_ASSIGN(fs::path end, followed(target));
    remove_left_behind(end);
    if (existing == Existing::keep && is_there(target))
        return exists_error(target);
    auto const readers = there ? Temporary::Readers::writer_only : Temporary::Readers::as_usual;
    TRY_ASSIGN(auto temporary, Temporary::file(end, readers));
    OutputFile file(std::move(end), std::move(temporary), existing, inputs);
    if (there)
        file.m_mode = there->st_mode & kPermissions;
    return file;
}

Result<OutputFile> OutputFile::rewrite(fs::path const& input, Inputs const& inputs)
{
    TRY_ASSIGN(OutputFile file, create(input, Existing::replace, {}));
    file.m_inputs = inputs;
    return file;
}

Result<void> OutputFile::write(std::string_view bytes) { return write_all(m_temporary.descriptor(), bytes, m_target); }

Result<void> OutputFile::write(std::span<std::byte const> bytes)
{
    return write(std::string_view(reinterpret_cast<char const*>(bytes.data()), bytes.size()));
}

Error OutputFile::said_of_target(Error error) const
{
    std::string const& name = path().native();
    for (auto at = error.what.find(name); at != std::string::npos; at = error.what.find(name))
        error.what.replace(at, name.size(), m_target.native());
    return error;
}

// The bytes on the disk, and nothing in the way of their name.
Result<void> OutputFile::settle()
{
    int const file = m_temporary.descriptor().get();
    if ((m_mode && ::fchmod(file, *m_mode) != 0) || ::fsync(file) != 0)
        return io_error("write", m_target, errno);
    if (!is_still_ours(m_temporary))
        return Error{ErrorKind::io, fmt::format("cannot write '{}': its temporary file was taken away; run it again",
                                                m_target.string())};
    TRY_VOID(m_inputs.unchanged());
    if (m_existing == Existing::keep && is_there(m_target))
        return exists_error(m_target);
    return {};
}

Result<void> OutputFile::give_name()
{
    return m_existing == Existing::keep ? m_temporary.appear_as(m_target) : m_temporary.replace(m_target);
}

Result<void> OutputFile::commit() { return commit_together({this, 1}); }

Result<void> commit_together(std::span<OutputFile> files)
{
    for (std::size_t i = 0; i < files.size(); ++i) {
        for (std::size_t other = 0; other < i; ++other)
            if (files[other].m_target == files[i].m_target)
                return refused(files[i].m_target, "is to be written twice; give two names");
        TRY_VOID(files[i].settle());
    }
    for (OutputFile& file : files)
        TRY_VOID(file.give_name());
    for (OutputFile const& file : files)
        sync_folder(folder_of(file.m_target));
    return {};
}

OutputFiles::OutputFiles(Existing existing, Inputs inputs) : m_existing(existing), m_inputs(std::move(inputs)) {}

Result<OutputFile> OutputFiles::create(fs::path const& target) const
{
    return OutputFile::create(target, m_existing, m_inputs);
}

void OutputFiles::add(OutputFile file) { m_files.push_back(std::move(file)); }

Result<void> OutputFiles::write(fs::path const& target, std::string_view bytes)
{
    TRY_ASSIGN(OutputFile file, create(target));
    TRY_VOID(file.write(bytes));
    add(std::move(file));
    return {};
}

Result<void> OutputFiles::write(fs::path const& target, std::span<std::byte const> bytes)
{
    return write(target, std::string_view(reinterpret_cast<char const*>(bytes.data()), bytes.size()));
}

Result<void> OutputFiles::commit() { return commit_together(m_files); }

Result<void> write_text(std::string_view text, fs::path const& target, Existing existing, Inputs const& inputs)
{
    TRY_ASSIGN(OutputFile file, OutputFile::create(target, existing, inputs));
    TRY_VOID(file.write(text));
    return file.commit();
}

} // namespace tabard::pipeline
