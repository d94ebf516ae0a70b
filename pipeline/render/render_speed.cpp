#include "pipeline/render/render_speed.h"

#include "pipeline/files/output_file.h"
#include "pipeline/media/digest.h"

#include <array>
#include <cmath>
#include <fstream>

#include <fmt/format.h>
#include <unistd.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

// Machines that share the folder have one each.
fs::path path_of(fs::path const& cache, EncoderSettings const& settings, VideoTrack const& video)
{
    std::array<char, 256> host{};
    ::gethostname(host.data(), host.size() - 1);
    Digest digest;
    digest.add(host.data()).add(static_cast<std::int64_t>(settings.codec)).add(settings.preset.value_or(""));
    digest.add(std::int64_t{video.stored.width}).add(std::int64_t{video.stored.height});
    return cache / (digest.hex() + kSpeedExtension);
}

} // namespace

std::optional<RenderSpeed> last_speed(fs::path const& cache, EncoderSettings const& settings, VideoTrack const& video)
{
    std::ifstream file(path_of(cache, settings, video));
    RenderSpeed speed;
    bool const read = static_cast<bool>(file >> speed.picture >> speed.byte);
    bool const sound =
        read && std::isfinite(speed.picture) && std::isfinite(speed.byte) && speed.picture > 0 && speed.byte >= 0;
    return sound ? std::optional(speed) : std::nullopt;
}

void note_speed(fs::path const& cache, EncoderSettings const& settings, VideoTrack const& video, RenderSpeed speed)
{
    auto const kept = write_text(fmt::format("{} {}\n", speed.picture, speed.byte), path_of(cache, settings, video),
                                 Existing::replace, Inputs{});
    static_cast<void>(kept);
}

} // namespace tabard::pipeline
