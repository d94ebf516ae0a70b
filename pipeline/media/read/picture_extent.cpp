#include "pipeline/media/read/picture_extent.h"

#include "pipeline/media/read/clock_watch.h"

#include <algorithm>
#include <array>
#include <fstream>
#include <limits>
#include <map>
#include <mutex>
#include <span>
#include <string_view>

#include <fmt/format.h>
#include <sys/stat.h>

namespace tabard::pipeline::av {
namespace {

bool is_one_of(AVFormatContext const* context, std::initializer_list<std::string_view> names)
{
    std::string_view const name = context->iformat->name;
    return std::ranges::any_of(names, [&](std::string_view wanted) { return name.find(wanted) != name.npos; });
}

// Some programs give a copy its size first: what is not there yet is zeros, which no coded picture begins with.
constexpr int kTelling = 64; // bytes

bool is_hollow(std::span<std::uint8_t const> coded, AVCodecID codec)
{
    AVCodecDescriptor const* const kind = avcodec_descriptor_get(codec);
    bool const packed = kind && (kind->props & AV_CODEC_PROP_LOSSY) != 0; // plain samples may all be zeros
    return packed && !coded.empty() && std::ranges::all_of(coded, [](std::uint8_t byte) { return byte == 0; });
}

/// Whether the bytes of pictures are in the file.
class Presence {
public:
    Presence(AVStream* stream, std::int64_t file_bytes, std::filesystem::path const& path)
        : m_stream(stream), m_file_bytes(file_bytes), m_file(path, std::ios::binary)
    {
    }

    bool has(int entry)
    {
        AVIndexEntry const* const place = avformat_index_get_entry(m_stream, entry);
        if (place->pos < 0 || place->pos > m_file_bytes - place->size)
            return false;
        std::array<char, kTelling> bytes{};
        auto const count = std::min<std::streamsize>(kTelling, place->size);
        m_file.clear();
        if (!m_file.seekg(place->pos) || !m_file.read(bytes.data(), count))
            return false;
        return !is_hollow({reinterpret_cast<std::uint8_t const*>(bytes.data()), static_cast<std::size_t>(count)},
                          m_stream->codecpar->codec_id);
    }

private:
    AVStream* m_stream;
    std::int64_t m_file_bytes;
    std::ifstream m_file;
};

/// The number of the first entry of an index whose bytes are not in the file; none where the last one's are. Copies are
/// made from front to back.
std::optional<int> first_missing(AVStream* stream, std::int64_t file_bytes, std::filesystem::path const& path)
{
    int const count = avformat_index_get_entries_count(stream);
    Presence presence(stream, file_bytes, path);
    if (count == 0 || file_bytes <= 0 || presence.has(count - 1))
        return std::nullopt;
    int there = -1;
    int missing = count - 1;
    while (missing - there > 1) {
        int const middle = there + (missing - there) / 2;
        (presence.has(middle) ? there : missing) = middle;
    }
    return missing;
}

/// Where to begin reading: nowhere, before the end, or at the beginning.
struct Reading {
    bool needed = true;
    bool cut_off = false;             ///< the index has pictures that the file has not
    std::optional<std::int64_t> from; ///< ticks of the pictures' clock
};

constexpr int kTailSeconds = 3;

std::int64_t last_stamp(AVStream* stream)
{
    int const count = avformat_index_get_entries_count(stream);
    return count > 0 ? avformat_index_get_entry(stream, count - 1)->timestamp : 0;
}

std::int64_t before_the_end(std::int64_t end, AVStream const* stream)
{
    return end - av_rescale_q(kTailSeconds, {1, 1}, stream->time_base);
}

Reading how_to_read(AVFormatContext const* context, AVStream* stream, std::filesystem::path const& path)
{
    if (is_one_of(context, {"dv"})) // all pictures have one size, and libavformat counts by the file's
        return {false, false, {}};
    if (has_whole_index(context, stream)) {
        auto const missing = first_missing(stream, context->pb ? avio_size(context->pb) : -1, path);
        if (!missing && starts_late_by_edits(context, stream))
            return {true, false, before_the_end(last_stamp(stream), stream)};
        if (!missing)
            return {false, false, {}};
        AVIndexEntry const* const last = *missing > 0 ? avformat_index_get_entry(stream, *missing - 1) : nullptr;
        return {true, true, last ? std::optional(last->timestamp) : std::nullopt};
    }
    bool const says_its_length = context->duration != AV_NOPTS_VALUE && context->duration > 0 &&
                                 context->duration_estimation_method == AVFMT_DURATION_FROM_STREAM;
    std::int64_t const start = context->start_time != AV_NOPTS_VALUE ? context->start_time : 0;
    bool const credible = is_credible(start, AV_TIME_BASE_Q) && is_credible(context->duration, AV_TIME_BASE_Q);
    if (!says_its_length || !credible || !is_one_of(context, {"matroska", "mxf"}))
        return {true, false, {}};
    std::int64_t const before_end = std::max<std::int64_t>(0, context->duration - kTailSeconds * AV_TIME_BASE);
    return {true, false, av_rescale_q(start + before_end, AV_TIME_BASE_Q, stream->time_base)};
}

/// Reads packets to the end and notes the times of the pictures.
class Counter {
public:
    Counter(Input const& input, int stream, std::filesystem::path const& path)
        : m_input(input), m_stream(stream), m_path(path), m_watch(longest_step(input))
    {
    }

    Result<void> read_to_the_end()
    {
        PacketHandle const packet = make_packet();
        int errors = 0;
        while (true) {
            av_packet_unref(packet.get());
            int const code = av_read_frame(m_input.handle.get(), packet.get());
            if (code == AVERROR_EXIT)
                return error(code, "", m_path);
            if (code == AVERROR_EOF || (code < 0 && ++errors >= kReadErrors))
                return {};
            if (code < 0)
                continue;
            note(*packet);
            if (m_watch.restart())
                return restarted();
        }
    }

    std::optional<PictureExtent> extent(bool whole)
    {
        if (m_count == 0)
            return std::nullopt;
        AVStream const* stream = m_input.stream(m_stream);
        std::sort(m_shown.begin(), m_shown.end());
        std::vector<std::int64_t> steps;
        for (std::size_t i = 1; i < m_shown.size(); ++i)
            if (m_shown[i] > m_shown[i - 1])
                steps.push_back(m_shown[i] - m_shown[i - 1]);
        PictureExtent found;
        if (m_shown.empty()) { // a container without presentation times: what it says of the rate is all there is
            found.first = stream->start_time != AV_NOPTS_VALUE ? stream->start_time : 0;
            AVRational const rate = stream->avg_frame_rate.num > 0 ? stream->avg_frame_rate : stream->r_frame_rate;
            if (!whole || rate.num <= 0 || rate.den <= 0)
                return std::nullopt;
            found.end = found.first + av_rescale_q(m_count, av_inv_q(rate), stream->time_base);
        } else {
            found.first = m_shown.front();
            found.end = m_shown.back() + last_step(steps);
            if (whole && !steps.empty())
                found.rate = rate_facts(steps, {stream->time_base.num, stream->time_base.den});
        }
        found.pictures = m_count;
        found.end_of_all = std::max(m_end_of_all, av_rescale_q(found.end, stream->time_base, AV_TIME_BASE_Q));
        if (!whole) {
            found.first = AV_NOPTS_VALUE;
            found.pictures = 0;
        }
        return found;
    }

private:
    // As in other damaged files: every read may fail without ever ending.
    static constexpr int kReadErrors = 64;

    // Transport streams run on without gaps; ten seconds is what joining programs take for a new recording.
    static Time longest_step(Input const& input)
    {
        return (input->iformat->flags & AVFMT_TS_DISCONT) != 0 ? from_seconds(10) : kLongestStill;
    }

    void note(AVPacket const& packet)
    {
        AVStream const* stream = m_input.stream(packet.stream_index);
        bool const picture = packet.stream_index == m_stream;
        int const telling = std::min(kTelling, packet.size);
        if (is_hollow({packet.data, static_cast<std::size_t>(telling)}, stream->codecpar->codec_id))
            return;
        bool const discarded = (packet.flags & AV_PKT_FLAG_DISCARD) != 0;
        std::int64_t const order = packet.dts != AV_NOPTS_VALUE ? packet.dts : packet.pts;
        bool believed = order != AV_NOPTS_VALUE && is_credible(order, stream->time_base);
        if (picture && believed)
            believed = m_watch.add(time_of(order, stream->time_base));
        if (picture && !discarded)
            ++m_count;
        if (!believed || discarded || packet.pts == AV_NOPTS_VALUE || !is_credible(packet.pts, stream->time_base))
            return;
        bool const has_length = packet.duration > 0 && is_credible(packet.duration, stream->time_base);
        std::int64_t const end = packet.pts + (has_length ? packet.duration : 0);
        if (picture) {
            m_shown.push_back(packet.pts);
            if (packet.pts >= m_last_shown) {
                m_last_shown = packet.pts;
                m_last_duration = end - packet.pts;
            }
        }
        m_end_of_all = std::max(m_end_of_all, av_rescale_q(end, stream->time_base, AV_TIME_BASE_Q));
    }

    std::int64_t last_step(std::vector<std::int64_t> steps) const
    {
        if (m_last_duration > 0)
            return m_last_duration;
        if (steps.empty())
            return 0;
        auto const middle = steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2);
        std::nth_element(steps.begin(), middle, steps.end());
        return *middle;
    }

    Error restarted() const
    {
        AVStream const* stream = m_input.stream(m_stream);
        Time const zero = time_of(m_input.zero_ticks(stream), stream->time_base);
        ClockWatch::Restart const restart = *m_watch.restart();
        return clock_restarted({restart.from - zero, restart.to - zero}, m_path);
    }

    Input const& m_input;
    int m_stream;
    std::filesystem::path const& m_path;
    ClockWatch m_watch;
    std::vector<std::int64_t> m_shown;
    std::int64_t m_count = 0;
    std::int64_t m_last_shown = std::numeric_limits<std::int64_t>::min();
    std::int64_t m_last_duration = 0;
    std::int64_t m_end_of_all = std::numeric_limits<std::int64_t>::min();
};

Result<std::optional<PictureExtent>> read_extent(Input const& input, int stream, Reading const& reading,
                                                 std::filesystem::path const& path)
{
    if (reading.from) {
        TRY_ASSIGN(auto tail, open_input(path, *input.stop));
        if (av_seek_frame(tail.handle.get(), stream, *reading.from, AVSEEK_FLAG_BACKWARD) >= 0) {
            Counter counter(tail, stream, path);
            TRY_VOID(counter.read_to_the_end());
            if (auto const found = counter.extent(false))
                return found;
        }
    }
    TRY_ASSIGN(auto whole, open_input(path, *input.stop));
    Counter counter(whole, stream, path);
    TRY_VOID(counter.read_to_the_end());
    return counter.extent(true);
}

/// A file as it is now: device, inode, size, and when it was changed.
using Identity = std::array<std::int64_t, 5>;

std::optional<Identity> identity_of(std::filesystem::path const& path)
{
    struct stat status = {};
    if (::stat(path.c_str(), &status) != 0)
        return std::nullopt;
    return Identity{static_cast<std::int64_t>(status.st_dev), static_cast<std::int64_t>(status.st_ino), status.st_size,
                    status.st_mtim.tv_sec, status.st_mtim.tv_nsec};
}

/// Reading all packets of a film takes seconds, looking whether they are all there opens it once more, and a command
/// opens its film several times.
class Memory {
public:
    struct Known {
        std::optional<PictureExtent> extent;
    };
    /// None where the file was not read yet.
    std::optional<Known> find(Identity const& file)
    {
        std::scoped_lock const lock(m_mutex);
        auto const found = m_known.find(file);
        return found == m_known.end() ? std::optional<Known>{} : std::optional<Known>{found->second};
    }
    void keep(Identity const& file, Known known)
    {
        std::scoped_lock const lock(m_mutex);
        if (m_known.size() >= kMost)
            m_known.clear();
        m_known[file] = std::move(known);
    }

private:
    static constexpr std::size_t kMost = 16;
    std::mutex m_mutex;
    std::map<Identity, Known> m_known;
};

} // namespace

bool starts_late_by_edits(AVFormatContext const* context, AVStream const* stream)
{
    return is_one_of(context, {"mp4"}) && stream->start_time != AV_NOPTS_VALUE && stream->start_time > 0;
}

bool has_whole_index(AVFormatContext const* context, AVStream* stream)
{
    // An edit list takes pictures out of the index of an MP4 file; of a film in fragments the header counts none.
    bool const mov = is_one_of(context, {"mp4"});
    return stream->nb_frames > 0 && (mov || avformat_index_get_entries_count(stream) >= stream->nb_frames);
}

Result<std::optional<PictureExtent>> picture_extent(Input const& input, AVStream* stream,
                                                    std::filesystem::path const& path)
{
    static Memory memory;
    auto const file = identity_of(path);
    if (file)
        if (auto const known = memory.find(*file))
            return known->extent;
    Reading const reading = how_to_read(input.handle.get(), stream, path);
    std::optional<PictureExtent> extent;
    if (reading.needed) {
        TRY_ASSIGN(extent, read_extent(input, stream->index, reading, path));
    }
    if (!extent && reading.cut_off)
        return Error{ErrorKind::decode, fmt::format("{}: not one frame of this film is in the file: it seems to be "
                                                    "copied only in part. Copy it again.",
                                                    path.string())};
    if (extent)
        extent->cut_off = reading.cut_off;
    if (file)
        memory.keep(*file, {extent});
    return extent;
}

} // namespace tabard::pipeline::av
