#include "pipeline/render/splice_quality.h"

#include "pipeline/media/splice/group_reader.h"

#include <algorithm>
#include <cmath>
#include <set>

namespace tabard::pipeline {
namespace {

constexpr int kFirstCrf = 20;
constexpr int kBestCrf = 12;
constexpr int kWorstCrf = 24;
constexpr double kWantedDecibels = 46.5;
constexpr double kLeastDecibels = 45.5;
constexpr double kMostGrowth = 1.4;
// Of x264, measured: one step of CRF is about 0.9 dB near here, and six steps halve or double the size.
constexpr double kDecibelsPerStep = 0.9;
constexpr double kStepsPerDoubling = 6;
constexpr std::size_t kSampledPictures = 10;

using Luma = std::vector<std::uint8_t>;

Luma luma_of(DecodedPicture const& picture)
{
    PlaneView const plane = picture.view().planes[0];
    Luma luma;
    for (int y = 0; y < plane.height; ++y) {
        auto const* const row = reinterpret_cast<std::uint8_t const*>(plane.data + y * plane.stride);
        luma.insert(luma.end(), row, row + plane.width);
    }
    return luma;
}

double squared_difference(Luma const& a, Luma const& b)
{
    std::int64_t sum = 0;
    for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i)
        sum += std::int64_t{a[i] - b[i]} * (a[i] - b[i]);
    return static_cast<double>(sum);
}

struct Trial {
    double squared_difference = 0;
    double samples = 0;
    double bytes = 0;
    double old_bytes = 0;

    double decibels() const { return 10 * std::log10(255.0 * 255 * samples / std::max(squared_difference, 1.0)); }
    double growth() const { return bytes / std::max(old_bytes, 1.0); }
};

Result<void> try_group(GroupEncoder const& encoder, CodedGroup const& group, Trial& trial, std::stop_token const& stop)
{
    std::vector<Luma> before;
    TRY_ASSIGN(CodedGroup const coded,
               encoder.encode(
                   group, [&](DecodedPicture& picture) { before.push_back(luma_of(picture)); }, stop));
    std::size_t at = 0;
    TRY_VOID(encoder.decode(coded, [&](DecodedPicture picture) -> Result<void> {
        trial.squared_difference += squared_difference(before[at++], luma_of(picture));
        return {};
    }));
    trial.samples += static_cast<double>(before.size()) * static_cast<double>(before[0].size());
    trial.bytes += static_cast<double>(coded.bytes());
    trial.old_bytes += static_cast<double>(group.bytes());
    return {};
}

// The beginnings of two groups, a third and two thirds into the film. What comes first in decoding order needs nothing
// after.
Result<std::vector<CodedGroup>> samples_of(CodedFilm& film, SpliceSource const& source)
{
    std::vector<CodedGroup> samples;
    TRY_ASSIGN(GroupReader reader, GroupReader::open(film, source));
    for (std::size_t const at : std::set{source.groups.size() / 3, source.groups.size() * 2 / 3}) {
        TRY_VOID(reader.skip_to(at));
        TRY_ASSIGN(auto group, reader.next());
        group->pictures.resize(std::min(group->pictures.size(), kSampledPictures));
        samples.push_back(*std::move(group));
    }
    return samples;
}

Result<Trial> try_crf(CodedFilm& film, SpliceSource const& source, EncoderSettings settings, int crf,
                      std::vector<CodedGroup> const& samples, std::stop_token const& stop)
{
    settings.crf = crf;
    TRY_ASSIGN(GroupEncoder const encoder, GroupEncoder::create(film, source, settings));
    Trial trial;
    for (CodedGroup const& sample : samples)
        TRY_VOID(try_group(encoder, sample, trial, stop));
    return trial;
}

} // namespace

Result<int> find_crf(CodedFilm& film, SpliceSource const& source, EncoderSettings const& settings, std::stop_token stop)
{
    TRY_ASSIGN(auto const samples, samples_of(film, source));
    TRY_ASSIGN(Trial const trial, try_crf(film, source, settings, kFirstCrf, samples, stop));
    auto const crf_for = [&](double decibels) { return kFirstCrf - (decibels - trial.decibels()) / kDecibelsPerStep; };
    double const crf_for_size = kFirstCrf - kStepsPerDoubling * std::log2(kMostGrowth / trial.growth());
    double const crf = std::min(std::max(crf_for(kWantedDecibels), crf_for_size), crf_for(kLeastDecibels));
    return std::clamp(static_cast<int>(std::floor(crf)), kBestCrf, kWorstCrf);
}

} // namespace tabard::pipeline
