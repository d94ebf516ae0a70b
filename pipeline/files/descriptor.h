#pragma once
#include "overlay/base/result.h"

#include <filesystem>
#include <string_view>
#include <utility>

namespace tabard::pipeline {

/// An open file descriptor, closed at the end; -1 where there is none.
class Descriptor {
public:
    explicit Descriptor(int descriptor = -1) : m_descriptor(descriptor) {}
    Descriptor(Descriptor&& other) noexcept : m_descriptor(std::exchange(other.m_descriptor, -1)) {}
    Descriptor& operator=(Descriptor&& other) noexcept;
    ~Descriptor();

    int get() const { return m_descriptor; }
    explicit operator bool() const { return m_descriptor >= 0; }

private:
    int m_descriptor;
};

/// The file for reading. Never waits: what is no ordinary file (a folder, a pipe, a device) is refused with
/// invalid_input, as is a name that cannot be followed; not_found where nothing is there; else io.
Result<Descriptor> open_for_reading(std::filesystem::path const& path);

/// "cannot read 'lesson.json': Permission denied", with the system's word for `code` (an errno).
Error io_error(std::string_view action, std::filesystem::path const& path, int code);

/// Writes all of it, however often the system takes a part. Fails with io, said of `path`.
Result<void> write_all(Descriptor const& file, std::string_view bytes, std::filesystem::path const& path);

} // namespace tabard::pipeline
