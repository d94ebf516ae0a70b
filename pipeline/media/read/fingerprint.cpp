#include "pipeline/media/read/fingerprint.h"

#include "pipeline/media/digest.h"

#include <algorithm>
#include <fstream>
#include <vector>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr std::int64_t kStretch = 256 * 1024;

} // namespace

Result<std::string> footage_fingerprint(std::filesystem::path const& footage)
{
    std::error_code failed;
    if (!std::filesystem::exists(footage, failed))
        return Error{ErrorKind::not_found, fmt::format("{} is not there", footage.string())};
    std::ifstream file(footage, std::ios::binary);
    auto const size = static_cast<std::int64_t>(std::filesystem::file_size(footage, failed));
    if (failed || !file)
        return Error{ErrorKind::io, fmt::format("cannot read {}", footage.string())};
    Digest digest;
    digest.add(size);
    std::vector<char> bytes(static_cast<std::size_t>(std::min(size, kStretch)));
    auto const room = static_cast<std::int64_t>(size) - static_cast<std::int64_t>(bytes.size());
    for (std::int64_t const from : {std::int64_t{0}, room / 2, room}) {
        if (!file.seekg(from) || !file.read(bytes.data(), static_cast<std::streamsize>(bytes.size())))
            return Error{ErrorKind::io, fmt::format("cannot read {}", footage.string())};
        digest.add(std::string_view(bytes.data(), bytes.size()));
    }
    return digest.hex();
}

} // namespace tabard::pipeline
