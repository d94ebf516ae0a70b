#include "pipeline/files/file_text.h"

#include "pipeline/files/descriptor.h"

#include <algorithm>
#include <cerrno>

#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

Error longer_than(std::size_t most, std::filesystem::path const& path)
{
    std::string const limit = most < 1 << 20 ? fmt::format("{} kB", most >> 10) : fmt::format("{} MB", most >> 20);
    return {ErrorKind::invalid_input,
            fmt::format("'{}' is too large: a file of this kind has at most {}", path.string(), limit)};
}

/// Fills `bytes` from `offset` on; shorter where the file ends.
Result<std::string> read_at(Descriptor const& file, std::int64_t offset, std::size_t size,
                            std::filesystem::path const& path)
{
    std::string bytes(size, '\0');
    std::size_t done = 0;
    while (done < size) {
        ssize_t const count =
            ::pread(file.get(), bytes.data() + done, size - done, offset + static_cast<std::int64_t>(done));
        if (count < 0 && errno != EINTR)
            return io_error("read", path, errno);
        if (count == 0)
            break;
        done += static_cast<std::size_t>(std::max<ssize_t>(count, 0));
    }
    bytes.resize(done);
    return bytes;
}

Result<std::int64_t> size_of(Descriptor const& file, std::filesystem::path const& path)
{
    struct stat status {};
    if (::fstat(file.get(), &status) != 0)
        return io_error("read", path, errno);
    return std::int64_t{status.st_size};
}

} // namespace

Result<std::string> read_file_text(std::filesystem::path const& path, std::size_t most)
{
    TRY_ASSIGN(Descriptor const file, open_for_reading(path));
    TRY_ASSIGN(std::int64_t const size, size_of(file, path));
    if (size > static_cast<std::int64_t>(most))
        return longer_than(most, path);
    // By what comes, not by what the size says: it may grow, and files that the system makes up have none.
    constexpr std::size_t kBlock = 1 << 16;
    std::string text;
    for (bool more = true; more;) {
        TRY_ASSIGN(std::string const block, read_at(file, static_cast<std::int64_t>(text.size()),
                                                    std::min(kBlock, most + 1 - text.size()), path));
        text += block;
        if (text.size() > most)
            return longer_than(most, path);
        more = !block.empty();
    }
    return text;
}

Result<FileSample> sample_file(std::filesystem::path const& path, std::size_t stretch)
{
    TRY_ASSIGN(Descriptor const file, open_for_reading(path));
    FileSample sample;
    TRY_ASSIGN(sample.size, size_of(file, path));
    auto const length = std::min(sample.size, static_cast<std::int64_t>(stretch));
    std::int64_t const room = sample.size - length;
    std::array<std::int64_t, 3> const starts{0, room / 2, room};
    for (std::size_t i = 0; i < starts.size(); ++i) {
        TRY_ASSIGN(sample.stretches[i], read_at(file, starts[i], static_cast<std::size_t>(length), path));
    }
    return sample;
}

} // namespace tabard::pipeline
