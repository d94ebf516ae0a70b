#pragma once
#include "overlay/base/result.h"

#include <cstdint>
#include <filesystem>
#include <initializer_list>
#include <optional>
#include <vector>

namespace tabard::pipeline {

/// The files that a command reads, each as it was when the command first saw it. Two promises rest on them: nothing is
/// ever written to an input, under whatever name; and a result made from a file that changed meanwhile is never kept.
/// A value.
class Inputs {
public:
    Inputs() = default;
    Inputs(std::initializer_list<std::filesystem::path> files);

    /// Notes a file, best before it is opened. Of a file that is noted already the first sight counts. One that is not
    /// there is noted by its name; an empty name is none.
    void add(std::filesystem::path const& file);
    void add(Inputs const& more);

    /// Whether writing to `target` would write to an input: the same file (device and inode), through symbolic and hard
    /// links, or the name of an input that is not there.
    bool hold(std::filesystem::path const& target) const;

    /// Fails with io unless each file is what it was: the same file, size and time of change. Where only its state
    /// changed (its mode, its links, its times set back), stretches of its bytes are compared.
    Result<void> unchanged() const;

private:
    struct Moment {
        std::int64_t seconds = 0;
        std::int64_t nanoseconds = 0;
        friend bool operator==(Moment const&, Moment const&) = default;
    };
    /// What the system says of a file.
    struct Stamp {
        std::uint64_t device = 0;
        std::uint64_t inode = 0;
        std::int64_t size = 0;
        Moment modified;
        Moment changed;
        friend bool operator==(Stamp const&, Stamp const&) = default;
    };
    struct Input {
        std::filesystem::path path;
        std::optional<Stamp> stamp; ///< none: not there
        std::uint64_t sample = 0;   ///< a digest of some of its bytes
    };
    static std::optional<Stamp> stamp_of(std::filesystem::path const& file);
    static bool is_as_it_was(Input const& input);

    std::vector<Input> m_inputs;
};

} // namespace tabard::pipeline
