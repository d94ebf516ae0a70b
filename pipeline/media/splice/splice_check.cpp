#include "pipeline/media/splice/splice_check.h"

#include "pipeline/media/read/media_reader.h"
#include "pipeline/media/read/picture_stream.h"

#include <algorithm>
#include <cstdlib>
#include <span>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

Error differs(std::string const& what) { return {ErrorKind::decode, "reading the result again showed " + what}; }

Result<void> check_pictures(av::PictureStream& pictures, SpliceSource const& source, SpliceExpectation const& expected)
{
    AVRational const clock = pictures.stream().time_base;
    AVRational const old_clock{source.info.video->clock.num, source.info.video->clock.den};
    // A coarser clock (Matroska counts milliseconds) may move a time by half a tick.
    auto const same = [&](std::int64_t ticks, std::int64_t old) {
        return std::abs(ticks - av_rescale_q(old, old_clock, clock)) <= (clock.num * std::int64_t{1001} >= clock.den);
    };
    std::size_t count = 0;
    for (;; ++count) {
        TRY_ASSIGN(auto const next, pictures.next());
        if (!next)
            break;
        if (count >= expected.pictures.size())
            return differs("more frames than there should be");
        if (!next->shown_known || !same(next->picture.shown, expected.pictures[count].shown))
            return differs(fmt::format("another time for coded frame {}", count));
        if (next->picture.data.size() != expected.pictures[count].bytes)
            return differs(fmt::format("another size for coded frame {}", count));
    }
    if (count != expected.pictures.size())
        return differs(fmt::format("{} frames instead of {}", count, expected.pictures.size()));
    return {};
}

// Decoding across a seam costs the group before it. Seams into new groups and out of them take turns, and those of a
// kind are alike: the first of all, and one of the other kind near the middle.
std::vector<std::size_t> sample(std::vector<std::size_t> const& all)
{
    if (all.size() < 2)
        return all;
    return {all[0], all[(all.size() / 2) | 1]};
}

// The picture shown last before the seam, the first one after it, and the one after that.
Result<void> check_seam(MediaReader& reader, SpliceSource const& source, std::size_t group)
{
    std::vector<std::int64_t> due;
    for (std::size_t g : {group - 1, group}) {
        GroupPlace const& place = source.groups[g];
        auto const begin = source.shown.begin() + static_cast<std::ptrdiff_t>(place.first_picture);
        due.insert(due.end(), begin, begin + static_cast<std::ptrdiff_t>(place.pictures));
    }
    std::sort(due.begin(), due.end());
    std::size_t const first = source.groups[group - 1].pictures - 1;
    Ratio const clock = source.info.video->clock;
    Time const tolerance = from_ticks(1, reader.video().clock.num, reader.video().clock.den);
    auto const at = [&](std::size_t i) { return from_ticks(due[i], clock.num, clock.den); };
    TRY_VOID(reader.seek(at(first) + tolerance));
    for (std::size_t i = first; i < std::min(due.size(), first + 3); ++i) {
        TRY_ASSIGN(auto const picture, reader.next());
        if (!picture || std::chrono::abs(picture->time() - at(i)) > tolerance)
            return differs(fmt::format("another frame at {:.3f} s, beside a seam", to_seconds(at(i))));
    }
    if (!reader.damage().none())
        return differs(fmt::format("damage at {:.3f} s, beside a seam", to_seconds(at(first))));
    return {};
}

} // namespace

Result<void> check_spliced(std::filesystem::path const& film, SpliceSource const& source,
                           SpliceExpectation const& expected, std::stop_token stop)
{
    TRY_ASSIGN(CodedFilm written, CodedFilm::open(film, stop));
    av::PictureStream& pictures = written.pictures();
    AVCodecParameters const& parameters = *pictures.stream().codecpar;
    auto const record =
        std::as_bytes(std::span(parameters.extradata, static_cast<std::size_t>(parameters.extradata_size)));
    if (!std::ranges::equal(record, expected.configuration.bytes()))
        return differs("other parameter sets");
    TRY_VOID(check_pictures(pictures, source, expected));
    ReadOptions reading;
    reading.stop = stop;
    reading.thoroughness = Thoroughness::rough; // only whether and when there is a picture
    TRY_ASSIGN(MediaReader reader, MediaReader::open(std::move(written), reading));
    for (std::size_t const seam : sample(expected.seams))
        TRY_VOID(check_seam(reader, source, seam));
    return {};
}

} // namespace tabard::pipeline
