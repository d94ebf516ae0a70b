#include "pipeline/media/write/side_copy.h"

#include "pipeline/media/read/describe.h"
#include "pipeline/media/write/encoder.h"
#include "pipeline/media/write/late_streams.h"

#include <algorithm>
#include <array>
#include <cstring>
#include <utility>

#include <fmt/format.h>

namespace tabard::pipeline::av {
namespace {

/// How long a picture may wait between its decoding and its showing: for all that may come between, and one more.
Time longest_wait(AVStream const& film)
{
    AVRational const rate = film.avg_frame_rate;
    Time const picture = rate.num > 0 && rate.den > 0 ? from_ticks(1, rate.den, rate.num) : from_seconds(0.2);
    return (film.codecpar->video_delay + 1) * picture;
}

void copy_tags(AVDictionary* from, AVDictionary** to, Location location)
{
    AVDictionaryEntry const* entry = nullptr;
    while ((entry = av_dict_get(from, "", entry, AV_DICT_IGNORE_SUFFIX)))
        if (!is_container_key(entry->key) && (location == Location::keep || !is_location(*entry)))
            av_dict_set(to, entry->key, entry->value, 0);
}

// What describes the picture itself. All else describes one coded form of it: a buffer size, a Dolby Vision layer.
bool holds_for_any_coding(AVPacketSideDataType type)
{
    return type == AV_PKT_DATA_DISPLAYMATRIX || type == AV_PKT_DATA_MASTERING_DISPLAY_METADATA ||
           type == AV_PKT_DATA_CONTENT_LIGHT_LEVEL || type == AV_PKT_DATA_STEREO3D || type == AV_PKT_DATA_SPHERICAL;
}

enum class SideData { all, of_any_coding };

void copy_side_data(AVStream const& from, AVStream& to, SideData which)
{
    for (int i = 0; i < from.nb_side_data; ++i) {
        AVPacketSideData const& data = from.side_data[i];
        if (which == SideData::of_any_coding && !holds_for_any_coding(data.type))
            continue;
        std::uint8_t* copy = av_stream_new_side_data(&to, data.type, data.size);
        if (!copy)
            throw std::bad_alloc();
        std::memcpy(copy, data.data, data.size);
    }
}

void add_chapters(std::vector<Chapter> const& chapters, WriteOptions const& options, AVFormatContext* context)
{
    Time const end = options.to.value_or(Time::max());
    std::vector<AVChapter*> made;
    for (Chapter const& chapter : chapters) {
        Time const from = std::max(chapter.from, options.from) - options.from;
        Time const to = std::min(chapter.to, end) - options.from;
        if (to <= from)
            continue;
        auto* entry = static_cast<AVChapter*>(av_mallocz(sizeof(AVChapter)));
        if (!entry)
            throw std::bad_alloc();
        entry->id = static_cast<std::int64_t>(made.size());
        entry->time_base = {1, 1'000'000};
        entry->start = to_ticks(from, 1, 1'000'000);
        entry->end = to_ticks(to, 1, 1'000'000);
        av_dict_set(&entry->metadata, "title", chapter.title.c_str(), 0);
        made.push_back(entry);
    }
    if (made.empty())
        return;
    context->chapters = static_cast<AVChapter**>(av_calloc(made.size(), sizeof(AVChapter*)));
    if (!context->chapters)
        throw std::bad_alloc();
    std::copy(made.begin(), made.end(), context->chapters);
    context->nb_chapters = static_cast<unsigned>(made.size());
}

std::string what_is(AVStream const& stream)
{
    char const* kind = av_get_media_type_string(stream.codecpar->codec_type);
    return fmt::format("track {} ({}, {})", stream.index, kind ? kind : "data",
                       avcodec_get_name(stream.codecpar->codec_id));
}

// Also where this program knows no decoder, so that nobody can tell.
bool can_be_decoded(AVStream const& sound)
{
    auto const decoder = open_decoder(&sound, 1, {});
    return decoder || decoder.error().kind == ErrorKind::unsupported;
}

bool plays_in_browsers(AVCodecID sound)
{
    return sound == AV_CODEC_ID_AAC || sound == AV_CODEC_ID_MP3 || sound == AV_CODEC_ID_OPUS;
}

bool copies(AVStream const& from, Container container, Location location)
{
    if (is_telemetry(&from) && location == Location::drop)
        return false;
    if ((from.disposition & AV_DISPOSITION_ATTACHED_PIC) != 0 && container != Container::mp4 &&
        container != Container::mov)
        return false;
    return from.codecpar->codec_id != AV_CODEC_ID_NONE && can_hold(container, from.codecpar->codec_id);
}

} // namespace

Result<SideCopy> SideCopy::open(MediaInfo const& source, WriteOptions const& options, Output& output)
{
    SideCopy copy;
    copy.m_from = options.from;
    copy.m_to = options.to;
    copy.m_packet = make_packet();
    TRY_ASSIGN(copy.m_input, open_input(source.path, options.stop));
    TRY_ASSIGN(auto const scanned, find_late_streams(copy.m_input, source.path, options.stop));
    Input const& all = scanned ? *scanned : copy.m_input;
    if (source.video->stream >= static_cast<int>(all->nb_streams))
        return Error{ErrorKind::decode, fmt::format("{}: the file changed while it was read", source.path.string())};
    for (int i = 0; i < static_cast<int>(all->nb_streams); ++i) {
        AVStream const& from = *(copy.knows(i) ? copy.m_input : all).stream(i);
        copy.m_lanes.emplace_back();
        copy.m_lanes.back().id = from.id;
        if (i == source.video->stream)
            copy.add_film(from, options, output);
        else
            TRY_VOID(copy.add_lane(from, options, output));
        if (copy.m_lanes.back().target < 0 && i < static_cast<int>(copy.m_input->nb_streams))
            copy.m_input.stream(i)->discard = AVDISCARD_ALL;
    }
    copy_tags(copy.m_input->metadata, &output->metadata, options.location);
    if (options.title)
        av_dict_set(&output->metadata, "title", options.title->c_str(), 0);
    add_chapters(options.chapters.value_or(source.chapters), options, output.handle.get());
    return copy;
}

// Whether the input says all of a stream without having been read to its end.
bool SideCopy::knows(int stream) const
{
    if (stream >= static_cast<int>(m_input->nb_streams))
        return false;
    AVCodecParameters const& parameters = *m_input.stream(stream)->codecpar;
    return parameters.codec_type != AVMEDIA_TYPE_AUDIO || is_known_sound(parameters);
}

void SideCopy::add_film(AVStream const& from, WriteOptions const& options, Output& output)
{
    AVStream* film = output.add_stream();
    m_film = film->index;
    film->disposition = from.disposition;
    copy_tags(from.metadata, &film->metadata, options.location);
    if (av_stream_get_side_data(&from, AV_PKT_DATA_DOVI_CONF, nullptr))
        m_notes.emplace_back("The film's Dolby Vision layer is not kept; its HDR picture is.");
    copy_side_data(from, *film, SideData::of_any_coding);
}

void SideCopy::leave_out(AVStream const& from, WriteOptions const& options)
{
    if (is_telemetry(&from) && options.location == Location::drop)
        m_notes.push_back(
            fmt::format("The camera's telemetry, {}, is left out: it can tell the place.", what_is(from)));
    else if (from.codecpar->codec_type != AVMEDIA_TYPE_DATA)
        m_notes.push_back(fmt::format("{} cannot hold {}: it is left out.", name(options.container), what_is(from)));
}

Result<void> SideCopy::add_lane(AVStream const& from, WriteOptions const& options, Output& output)
{
    Lane& lane = m_lanes.back();
    bool const is_sound = from.codecpar->codec_type == AVMEDIA_TYPE_AUDIO;
    if (options.for_browsers && !is_sound)
        return {};
    bool const copied = copies(from, options.container, options.location) &&
                        (!options.for_browsers || plays_in_browsers(from.codecpar->codec_id));
    if (!copied && !is_sound) {
        leave_out(from, options);
        return {};
    }
    if (is_sound && !is_known_sound(*from.codecpar)) {
        m_notes.push_back(fmt::format("No sound can be read from {}: it is left out.", what_is(from)));
        return {};
    }
    if (is_sound && !can_be_decoded(from)) {
        m_notes.push_back(fmt::format("The sound of {} is damaged: what its header says is no such sound. It is left "
                                      "out.",
                                      what_is(from)));
        return {};
    }
    if (!is_sound && from.index >= static_cast<int>(m_input->nb_streams)) {
        m_notes.push_back(
            fmt::format("There is no sign of {} at the beginning of the film: it is left out.", what_is(from)));
        return {};
    }
    if (is_sound) {
        lane.sound.reset(avcodec_parameters_alloc());
        if (!lane.sound || avcodec_parameters_copy(lane.sound.get(), from.codecpar) < 0)
            throw std::bad_alloc();
    }
    AVStream* to = output.add_stream();
    lane.target = to->index;
    to->disposition = from.disposition;
    to->time_base = from.time_base;
    copy_tags(from.metadata, &to->metadata, options.location);
    if (copied)
        return copy_stream(from, options, lane, output, *to);
    m_notes.push_back(
        fmt::format("{} cannot hold the sound of {}: it is encoded anew.", name(options.container), what_is(from)));
    TRY_ASSIGN(lane.transcoder, SoundTranscoder::open(from, m_input.zero_ticks(&from), m_from, m_to, output, *to));
    return {};
}

Result<void> SideCopy::copy_stream(AVStream const& from, WriteOptions const& options, Lane& lane, Output& output,
                                   AVStream& to)
{
    copy_side_data(from, to, SideData::all);
    if (int const code = avcodec_parameters_copy(to.codecpar, from.codecpar); code < 0)
        return error(code, "cannot copy a track", output.path);
    // A tag that the container knows is kept ("hvc1"); else the container's own for this codec.
    if (av_codec_get_id(output->oformat->codec_tag, from.codecpar->codec_tag) != from.codecpar->codec_id)
        to.codecpar->codec_tag = 0;
    bool const may_lose = (m_input->iformat->flags & AVFMT_TS_DISCONT) != 0;
    if (lane.sound)
        lane.digest.emplace(*from.codecpar);
    if (auto const known = options.whole_sound.find(from.index); lane.sound && known != options.whole_sound.end())
        lane.proved_before = known->second;
    else if (lane.sound)
        lane.proof = SoundProof::of(from, *lane.sound, may_lose ? SoundForm::proved : SoundForm::any, output.path);
    lane.drop_priming = from.codecpar->codec_type == AVMEDIA_TYPE_AUDIO &&
                        from.codecpar->codec_id != AV_CODEC_ID_OPUS && !is_mov_family(output.container);
    if (lane.drop_priming)
        to.codecpar->initial_padding = 0;
    if (from.codecpar->codec_type == AVMEDIA_TYPE_VIDEO) {
        lane.longest_wait = longest_wait(from);
        // libavformat refuses a container's shape of a sample that is not the one in the pictures.
        to.sample_aspect_ratio =
            av_guess_sample_aspect_ratio(m_input.handle.get(), m_input.stream(from.index), nullptr);
        to.codecpar->sample_aspect_ratio = to.sample_aspect_ratio;
    }
    to.avg_frame_rate = from.avg_frame_rate;
    return {};
}

void SideCopy::prove_with(CopyProof& proof, Output const& output)
{
    m_proof = &proof;
    for (std::size_t i = 0; i < m_lanes.size() && i < m_input->nb_streams; ++i) {
        AVStream const& from = *m_input.stream(static_cast<int>(i));
        bool const is_film = from.codecpar->codec_type == AVMEDIA_TYPE_VIDEO || m_lanes[i].sound;
        if (m_lanes[i].target >= 0 && !m_lanes[i].transcoder && is_film)
            proof.add_stream(m_lanes[i].target, *output.stream(m_lanes[i].target)->codecpar);
    }
}

Time SideCopy::due(AVPacket const& packet) const
{
    AVStream const* from = m_input.stream(packet.stream_index);
    std::int64_t const ticks = packet.dts != AV_NOPTS_VALUE ? packet.dts : packet.pts;
    if (ticks == AV_NOPTS_VALUE)
        return Time::min();
    return time_of(ticks - m_input.zero_ticks(from), from->time_base) - m_from;
}

// None for what is left out, and for a stream that was not there when the file was read before.
SideCopy::Lane* SideCopy::lane_of(AVPacket const& packet)
{
    AVStream& stream = *m_input.stream(packet.stream_index);
    auto const index = static_cast<std::size_t>(packet.stream_index);
    if (index < m_lanes.size() && m_lanes[index].target >= 0 && m_lanes[index].id == stream.id)
        return &m_lanes[index];
    stream.discard = AVDISCARD_ALL;
    if (index >= m_lanes.size() && std::exchange(m_unknown, index + 1) <= index)
        m_notes.push_back(
            fmt::format("There is no sign of {} at the beginning of the film: it is left out.", what_is(stream)));
    return nullptr;
}

Result<bool> SideCopy::fetch()
{
    while (!m_waiting) {
        int const code = m_packets.next(m_input, *m_packet);
        if (code == AVERROR_EXIT)
            return error(code, "", m_input->url);
        if (code == AVERROR_EOF || (code < 0 && ++m_read_errors >= kReadErrorsInARow))
            return false; // the pictures' reader reports damage
        if (code < 0)
            continue;
        m_read_errors = 0;
        Lane* const lane = lane_of(*m_packet);
        m_waiting = lane != nullptr;
        if (lane && lane->digest)
            lane->digest->add(*m_packet);
        if (lane)
            complete_time(*m_packet, *lane, *m_input.stream(m_packet->stream_index));
        else
            av_packet_unref(m_packet.get());
    }
    return true;
}

Result<void> SideCopy::copy_until(Output& output, Time time)
{
    for (;;) {
        TRY_ASSIGN(bool const there, fetch());
        if (!there || due(*m_packet) >= time)
            return {};
        TRY_VOID(put(output));
    }
}

Result<void> SideCopy::copy_rest(Output& output)
{
    TRY_VOID(copy_until(output, Time::max()));
    for (Lane& lane : m_lanes)
        if (lane.transcoder)
            TRY_VOID(lane.transcoder->put(nullptr, output));
    for (std::size_t i = 0; i < m_lanes.size(); ++i)
        TRY_VOID(settle_proof(static_cast<int>(i), m_lanes[i]));
    return {};
}

Result<void> SideCopy::settle_proof(int stream, Lane& lane)
{
    if (!lane.digest)
        return {};
    std::string const digest = lane.digest->hex();
    if (!lane.proved_before.empty() && digest != lane.proved_before)
        return Error{ErrorKind::io, fmt::format("{}: the file changed while it was read", m_input->url)};
    bool const all_passed = lane.proof && lane.damaged == 0 && lane.unproved == 0;
    if (all_passed && lane.proof->knows_something())
        m_whole_sound[stream] = digest;
    return {};
}

// Of sound that begins late libavformat 5.1 knows the time of every few packets only, and none of their lengths.
void SideCopy::complete_time(AVPacket& packet, Lane& lane, AVStream const& from)
{
    if (packet.duration <= 0 && lane.sound && is_known_sound(*lane.sound))
        packet.duration = av_rescale_q(av_get_audio_frame_duration2(lane.sound.get(), packet.size),
                                       {1, lane.sound->sample_rate}, from.time_base);
    if (packet.pts == AV_NOPTS_VALUE && packet.dts == AV_NOPTS_VALUE)
        packet.pts = packet.dts = lane.expected;
    std::int64_t const start = packet.dts != AV_NOPTS_VALUE ? packet.dts : packet.pts;
    lane.expected = start == AV_NOPTS_VALUE ? start : start + packet.duration;
}

// Muxers refuse times that are missing, that do not rise, or pictures shown before they are decoded. A damaged file has
// them, and a coarser clock can bring two packets to one tick. Matroska does not say when pictures are decoded, and
// libavformat does not find it out for the first ones: they are shown when they say, however late others are decoded.
void SideCopy::repair_times(AVPacket& packet, Lane& lane, AVRational clock)
{
    bool const first = lane.last_dts == AV_NOPTS_VALUE;
    if (packet.dts == AV_NOPTS_VALUE && lane.sound)
        packet.dts = packet.pts != AV_NOPTS_VALUE ? packet.pts : first ? 0 : lane.last_dts + 1;
    else if (packet.dts == AV_NOPTS_VALUE)
        packet.dts = !first                         ? lane.last_dts + 1
                     : packet.pts != AV_NOPTS_VALUE ? packet.pts - to_ticks(lane.longest_wait, clock.num, clock.den)
                                                    : 0;
    if (!first)
        packet.dts = std::max(packet.dts, lane.last_dts + 1);
    packet.pts = packet.pts == AV_NOPTS_VALUE ? packet.dts : std::max(packet.pts, packet.dts);
    lane.last_dts = packet.dts;
}

Result<void> SideCopy::put(Output& output)
{
    m_waiting = false;
    Lane& lane = m_lanes[static_cast<std::size_t>(m_packet->stream_index)];
    auto done = lane.transcoder ? lane.transcoder->put(m_packet.get(), output) : put_copied(lane, output);
    av_packet_unref(m_packet.get());
    return done;
}

bool SideCopy::is_outside(AVPacket const& packet, Lane const& lane) const
{
    AVStream const* from = m_input.stream(packet.stream_index);
    Time const start = due(packet);
    // Matroska has no time before 0: libavformat 5.1 would move the whole film up to make room for the priming.
    if (lane.drop_priming && start + time_of(packet.duration, from->time_base) <= Time{})
        return true;
    bool const cover = (from->disposition & AV_DISPOSITION_ATTACHED_PIC) != 0;
    return !cover && ((m_from > Time{} && start < Time{}) || (m_to && start >= *m_to - m_from));
}

Result<void> SideCopy::put_copied(Lane& lane, Output& output)
{
    if (is_outside(*m_packet, lane)) {
        // Of a whole film only the priming is left out: it is proved with the rest.
        bool const whole_film = m_from == Time{} && !m_to;
        lane.unproved += !(whole_film && lane.proof && lane.proof->is_whole(*m_packet));
        return {};
    }
    AVStream const* from = m_input.stream(m_packet->stream_index);
    AVStream const& to = *output.stream(lane.target);
    std::int64_t const shift = m_input.zero_ticks(from) + to_ticks(m_from, from->time_base.num, from->time_base.den);
    if (m_packet->pts != AV_NOPTS_VALUE)
        m_packet->pts -= shift;
    if (m_packet->dts != AV_NOPTS_VALUE)
        m_packet->dts -= shift;
    if (lane.proof && !lane.proof->is_whole(*m_packet)) {
        ++lane.damaged;
        return {};
    }
    m_packet->stream_index = to.index;
    m_packet->pos = -1;
    av_packet_rescale_ts(m_packet.get(), from->time_base, to.time_base);
    std::int64_t const shown = m_packet->pts;
    repair_times(*m_packet, lane, to.time_base);
    if (m_proof)
        m_proof->note(to.index, *m_packet, shown != AV_NOPTS_VALUE ? shown : m_packet->pts);
    TRY_ASSIGN(bool const taken, output.offer(m_packet.get()));
    ++(taken ? lane.taken : lane.damaged);
    return {};
}

std::vector<std::string> SideCopy::notes() const
{
    std::vector<std::string> notes = m_notes;
    for (std::size_t i = 0; i < m_lanes.size(); ++i) {
        Lane const& lane = m_lanes[i];
        std::string const track = what_is(*m_input.stream(static_cast<int>(i)));
        if (lane.proof && lane.proof->knows_nothing())
            notes.push_back(fmt::format("Whether the sound of {} is whole cannot be told here.", track));
        if (std::int64_t const moved = m_packets.moved(static_cast<int>(i)); lane.sound && moved > 0)
            notes.push_back(
                fmt::format("The sound of {} is damaged: {} packet{} had a wrong time, which was set right.", track,
                            moved, moved == 1 ? "" : "s"));
        std::int64_t const damaged = lane.transcoder ? lane.transcoder->broken_packets() : lane.damaged;
        if (damaged == 0)
            continue;
        notes.push_back(fmt::format("{}{} is damaged: {} packet{} left out.",
                                    lane.sound ? "The sound of " : "The film's ", track, damaged,
                                    damaged == 1 ? " is" : "s are"));
    }
    return notes;
}

void add_hdr_side_data(AVStream& stream, AVFrame const& frame)
{
    constexpr std::array kinds = {
        std::pair{AV_FRAME_DATA_MASTERING_DISPLAY_METADATA, AV_PKT_DATA_MASTERING_DISPLAY_METADATA},
        std::pair{AV_FRAME_DATA_CONTENT_LIGHT_LEVEL, AV_PKT_DATA_CONTENT_LIGHT_LEVEL}};
    for (auto const& [in_frame, beside_stream] : kinds) {
        AVFrameSideData const* data = av_frame_get_side_data(&frame, in_frame);
        if (!data || av_stream_get_side_data(&stream, beside_stream, nullptr))
            continue;
        std::uint8_t* copy = av_stream_new_side_data(&stream, beside_stream, data->size);
        if (!copy)
            throw std::bad_alloc();
        std::memcpy(copy, data->data, data->size);
    }
}

} // namespace tabard::pipeline::av
