#include "pipeline/render/footage_light.h"

#include "pipeline/media/digest.h"
#include "pipeline/media/read/fingerprint.h"
#include "pipeline/media/read/key_pictures.h"
#include "pipeline/render/footage_colour.h"
#include "pipeline/render/group_cache.h"

#include <cmath>
#include <span>

namespace tabard::pipeline {
namespace {

// Raise it when the same film is measured in another way.
constexpr std::int64_t kVersion = 1;
// From the middle outwards, so that the first three are spread over all of the film, too.
constexpr std::array kPercent{50, 10, 90, 30, 70};
// More than the least are looked at while they are small: it is bytes that take time to decode, some 8 kB a
// millisecond.
constexpr std::size_t kLeastPictures = 3;
constexpr std::size_t kEnoughBytes = 120'000;
constexpr int kSamplesAcross = 6; // of a cell, and down: more would say the same

constexpr std::size_t kTimeBytes = 8;
constexpr std::size_t kPictureBytes = kTimeBytes + 3 * kLightCells;

int sample(PictureView const& picture, std::size_t plane, PointPx at, SizePx of)
{
    PlaneView const& view = picture.planes[plane];
    int const x = (2 * at.x + 1) * view.width / (2 * of.width);
    int const y = (2 * at.y + 1) * view.height / (2 * of.height);
    std::byte const* const row = view.data + y * view.stride;
    return picture.layout.bit_depth > 8 ? reinterpret_cast<std::uint16_t const*>(row)[x]
                                        : static_cast<std::uint8_t>(row[x]);
}

overlay::Colour cell_colour(PictureView const& picture, VideoTrack const& video, PointPx cell)
{
    constexpr SizePx kSamples{kLightSide * kSamplesAcross, kLightSide * kSamplesAcross};
    YCbCr mean{};
    for (int i = 0; i < kSamplesAcross * kSamplesAcross; ++i) {
        PointPx const shown{cell.x * kSamplesAcross + i % kSamplesAcross, cell.y * kSamplesAcross + i / kSamplesAcross};
        PointPx const stored = video.orientation.stored_at(shown, kSamples);
        for (std::size_t plane = 0; plane < mean.size(); ++plane)
            mean[plane] += sample(picture, plane, stored, kSamples);
    }
    for (double& part : mean)
        part /= kSamplesAcross * kSamplesAcross;
    auto const srgb = to_srgb(mean, video.colour, picture.layout.bit_depth);
    auto const code = [](double part) { return static_cast<std::uint8_t>(std::lround(part * 255)); };
    return {code(srgb[0]), code(srgb[1]), code(srgb[2])};
}

PictureLight light_of(PictureView const& picture, VideoTrack const& video, Time time)
{
    PictureLight light{time, {}};
    for (int i = 0; i < kLightCells; ++i)
        light.cells[static_cast<std::size_t>(i)] = cell_colour(picture, video, {i % kLightSide, i / kLightSide});
    return light;
}

std::vector<std::byte> to_bytes(FootageLight const& light)
{
    std::vector<std::byte> bytes;
    for (PictureLight const& picture : light.pictures) {
        auto const time = static_cast<std::uint64_t>(picture.time.count());
        for (std::size_t i = 0; i < kTimeBytes; ++i)
            bytes.push_back(static_cast<std::byte>(time >> (8 * i)));
        for (overlay::Colour const cell : picture.cells)
            for (std::uint8_t const part : {cell.red, cell.green, cell.blue})
                bytes.push_back(std::byte{part});
    }
    return bytes;
}

/// None where the bytes are no such thing.
std::optional<FootageLight> from_bytes(std::span<std::byte const> bytes)
{
    if (bytes.empty() || bytes.size() % kPictureBytes != 0 || bytes.size() > kPercent.size() * kPictureBytes)
        return std::nullopt;
    FootageLight light;
    for (; !bytes.empty(); bytes = bytes.subspan(kPictureBytes)) {
        PictureLight& picture = light.pictures.emplace_back();
        std::uint64_t time = 0;
        for (std::size_t i = 0; i < kTimeBytes; ++i)
            time |= std::to_integer<std::uint64_t>(bytes[i]) << (8 * i);
        picture.time = Time{static_cast<std::int64_t>(time)};
        for (std::size_t i = 0; i < picture.cells.size(); ++i) {
            auto const part = [&](std::size_t at) {
                return std::to_integer<std::uint8_t>(bytes[kTimeBytes + 3 * i + at]);
            };
            picture.cells[i] = {part(0), part(1), part(2)};
        }
    }
    return light;
}

// Of a long film the fingerprint may miss what its headers say.
std::string key_of(std::string const& fingerprint, VideoTrack const& video)
{
    Digest digest;
    digest.add("footage light").add(kVersion).add(fingerprint);
    for (std::int64_t const fact :
         {std::int64_t{video.stream}, std::int64_t{video.stored.width}, std::int64_t{video.stored.height},
          std::int64_t{video.orientation.quarter_turns}, std::int64_t{video.orientation.mirrored},
          static_cast<std::int64_t>(video.colour.matrix), static_cast<std::int64_t>(video.colour.range),
          static_cast<std::int64_t>(video.colour.transfer), std::int64_t{video.colour.wide_gamut}, video.start.count(),
          video.duration.count()})
        digest.add(fact);
    return digest.hex();
}

} // namespace

Result<FootageLight> measure_footage_light(MediaInfo const& film, std::stop_token stop)
{
    FootageLight light;
    std::size_t bytes = 0;
    auto const watch = [&](KeyPicture const& picture) {
        light.pictures.push_back(light_of(picture.view, *film.video, picture.time));
        bytes += picture.coded_bytes;
        return light.pictures.size() < kLeastPictures || bytes < kEnoughBytes;
    };
    TRY_VOID(look_at_key_pictures(film, kPercent, watch, std::move(stop)));
    return light;
}

Result<FootageLight> footage_light(MediaInfo const& film, std::optional<std::filesystem::path> const& cache,
                                   std::stop_token stop)
{
    auto const fingerprint = cache ? footage_fingerprint(film.path) : Result<std::string>{std::string{}};
    if (!cache || !fingerprint)
        return measure_footage_light(film, std::move(stop));
    GroupCache kept(*cache);
    std::string const key = key_of(*fingerprint, *film.video);
    if (auto const bytes = kept.find(key))
        if (auto light = from_bytes({bytes->data(), bytes->size()}))
            return *std::move(light);
    TRY_ASSIGN(FootageLight light, measure_footage_light(film, std::move(stop)));
    kept.store(key, to_bytes(light));
    return light;
}

} // namespace tabard::pipeline
