#include "pipeline/files/inputs.h"

#include "pipeline/files/file_text.h"

#include <algorithm>

#include <fmt/format.h>
#include <sys/stat.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kStretch = 1 << 16;

/// FNV-1a (RFC 9923) of some of the bytes; 0 where they cannot be read.
std::uint64_t sample_digest(fs::path const& file)
{
    auto const sample = sample_file(file, kStretch);
    if (!sample)
        return 0;
    std::uint64_t digest = 0xcbf29ce484222325;
    for (std::string const& stretch : sample->stretches)
        for (char const byte : stretch)
            digest = (digest ^ static_cast<unsigned char>(byte)) * 0x100000001b3;
    return digest;
}

fs::path plain_name(fs::path const& file)
{
    std::error_code failed;
    fs::path const name = fs::weakly_canonical(fs::absolute(file, failed), failed);
    return failed ? file : name;
}

} // namespace

Inputs::Inputs(std::initializer_list<fs::path> files)
{
    for (fs::path const& file : files)
        add(file);
}

std::optional<Inputs::Stamp> Inputs::stamp_of(fs::path const& file)
{
    struct stat status {};
    if (::stat(file.c_str(), &status) != 0)
        return std::nullopt;
    return Stamp{status.st_dev,
                 status.st_ino,
                 status.st_size,
                 {status.st_mtim.tv_sec, status.st_mtim.tv_nsec},
                 {status.st_ctim.tv_sec, status.st_ctim.tv_nsec}};
}

void Inputs::add(fs::path const& file)
{
    if (file.empty() || std::ranges::find(m_inputs, file, &Input::path) != m_inputs.end())
        return;
    // The stamp first: what changes from then on shows in it.
    auto const stamp = stamp_of(file);
    m_inputs.push_back({file, stamp, stamp ? sample_digest(file) : 0});
}

void Inputs::add(Inputs const& more)
{
    for (Input const& input : more.m_inputs)
        if (std::ranges::find(m_inputs, input.path, &Input::path) == m_inputs.end())
            m_inputs.push_back(input);
}

bool Inputs::hold(fs::path const& target) const
{
    auto const there = stamp_of(target);
    auto const is_same = [&](std::optional<Stamp> const& input) {
        return there && input && input->device == there->device && input->inode == there->inode;
    };
    return std::ranges::any_of(m_inputs, [&](Input const& input) {
        return is_same(input.stamp) || is_same(stamp_of(input.path)) || plain_name(input.path) == plain_name(target);
    });
}

bool Inputs::is_as_it_was(Input const& input)
{
    if (!input.stamp)
        return true; // nothing was read of it
    auto now = stamp_of(input.path);
    if (now == input.stamp)
        return true;
    if (!now)
        return false;
    now->changed = input.stamp->changed;
    return now == input.stamp && sample_digest(input.path) == input.sample;
}

Result<void> Inputs::unchanged() const
{
    auto const changed = std::ranges::find_if_not(m_inputs, is_as_it_was);
    if (changed == m_inputs.end())
        return {};
    return Error{ErrorKind::io, fmt::format("'{}' changed while it was read; nothing was written, run it again",
                                            changed->path.string())};
}

} // namespace tabard::pipeline
