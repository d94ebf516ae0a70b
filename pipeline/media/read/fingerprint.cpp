#include "pipeline/media/read/fingerprint.h"

#include "pipeline/files/file_text.h"
#include "pipeline/media/digest.h"

namespace tabard::pipeline {
namespace {

constexpr std::size_t kStretch = 256 * 1024;

} // namespace

Result<std::string> footage_fingerprint(std::filesystem::path const& footage)
{
    TRY_ASSIGN(FileSample const sample, sample_file(footage, kStretch));
    Digest digest;
    digest.add(sample.size);
    for (std::string const& stretch : sample.stretches)
        digest.add(stretch);
    return digest.hex();
}

} // namespace tabard::pipeline
