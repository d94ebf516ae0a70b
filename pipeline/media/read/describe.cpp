#include "pipeline/media/read/describe.h"

#include "pipeline/media/read/frame_rate.h"
#include "pipeline/media/read/picture_extent.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <cstring>

#include <fmt/format.h>

namespace tabard::pipeline::av {
namespace {

Matrix matrix_of(AVCodecParameters const& parameters)
{
    switch (parameters.color_space) {
    case AVCOL_SPC_BT709:
    case AVCOL_SPC_SMPTE240M:
        return Matrix::bt709;
    case AVCOL_SPC_BT2020_NCL:
    case AVCOL_SPC_BT2020_CL:
        return Matrix::bt2020;
    case AVCOL_SPC_BT470BG:
    case AVCOL_SPC_SMPTE170M:
    case AVCOL_SPC_FCC:
        return Matrix::bt601;
    default:
        break;
    }
    if (parameters.color_primaries == AVCOL_PRI_BT2020)
        return Matrix::bt2020;
    // Players guess by the height: common practice, no published source.
    return std::min(parameters.width, parameters.height) >= 720 ? Matrix::bt709 : Matrix::bt601;
}

Orientation orientation_of(AVStream const* stream, std::vector<std::string>& notes)
{
    std::uint8_t const* data = av_stream_get_side_data(stream, AV_PKT_DATA_DISPLAYMATRIX, nullptr);
    if (!data)
        return {};
    std::array<std::int32_t, 9> matrix{};
    std::memcpy(matrix.data(), data, sizeof matrix);
    auto const found = Orientation::from_matrix(matrix);
    if (!found)
        notes.push_back(
            "The film is turned by an angle that is not a quarter turn: overlays follow the stored picture.");
    return found.value_or(Orientation{});
}

SizePx displayed_size(SizePx stored, Ratio aspect, Orientation orientation)
{
    // Non-square samples are widened, never squeezed, so that no detail is lost: common practice.
    SizePx square = stored;
    if (aspect.num > aspect.den)
        square.width = static_cast<int>(av_rescale(stored.width, aspect.num, aspect.den));
    else if (aspect.num < aspect.den)
        square.height = static_cast<int>(av_rescale(stored.height, aspect.den, aspect.num));
    return orientation.shown_size(square);
}

std::string tag(AVDictionary* metadata, char const* key)
{
    AVDictionaryEntry const* entry = av_dict_get(metadata, key, nullptr, 0);
    return entry ? entry->value : "";
}

// Indexes count decoding times. What an edit list leaves out stands among what it shows, so the steps beside it tell
// nothing.
std::vector<std::int64_t> frame_steps(AVStream* stream)
{
    struct Entry {
        std::int64_t stamp;
        bool left_out;
    };
    int const count = avformat_index_get_entries_count(stream);
    std::vector<Entry> entries;
    entries.reserve(static_cast<std::size_t>(count));
    for (int i = 0; i < count; ++i) {
        AVIndexEntry const* const entry = avformat_index_get_entry(stream, i);
        entries.push_back({entry->timestamp, (entry->flags & AVINDEX_DISCARD_FRAME) != 0});
    }
    std::ranges::stable_sort(entries, {}, &Entry::stamp);
    std::vector<std::int64_t> steps;
    for (std::size_t i = 1; i < entries.size(); ++i)
        if (!entries[i].left_out && !entries[i - 1].left_out && entries[i].stamp > entries[i - 1].stamp)
            steps.push_back(entries[i].stamp - entries[i - 1].stamp);
    return steps;
}

void fill_rate(AVStream* stream, AVFormatContext* context, VideoTrack& track)
{
    auto const steps = has_whole_index(context, stream) ? frame_steps(stream) : std::vector<std::int64_t>{};
    if (!steps.empty()) {
        RateFacts const facts = rate_facts(steps, track.clock);
        track.rate = facts.nominal;
        track.variable_rate = facts.variable;
        return;
    }
    AVRational const average = stream->avg_frame_rate;
    AVRational const guess = av_guess_frame_rate(context, stream, nullptr);
    AVRational const rate = average.num > 0 && average.den > 0 ? average : guess;
    if (rate.num > 0 && rate.den > 0)
        track.rate = nearest_rate(av_q2d(rate));
    AVRational const real = stream->r_frame_rate;
    track.variable_rate = average.num > 0 && real.num > 0 && nearest_rate(av_q2d(real)) != track.rate;
}

// As the header says it, or estimated from it. Where a clock begins far from zero, headers mostly count from zero.
Time file_duration(Input const& input)
{
    if (input->duration == AV_NOPTS_VALUE || !is_credible(input->duration, AV_TIME_BASE_Q))
        return Time{};
    bool const from_zero = input.zero >= kFarFromZero && input->duration > input.zero &&
                           input->duration_estimation_method == AVFMT_DURATION_FROM_STREAM;
    return time_of(input->duration - (from_zero ? input.zero : 0), AV_TIME_BASE_Q);
}

Time track_duration(Input const& input, AVStream const* stream, Time start)
{
    if (stream->duration != AV_NOPTS_VALUE && stream->duration > 0 && is_credible(stream->duration, stream->time_base))
        return time_of(stream->duration, stream->time_base);
    return std::max(Time{}, file_duration(input) - start);
}

Time track_start(Input const& input, AVStream const* stream)
{
    if (stream->start_time == AV_NOPTS_VALUE || !is_credible(stream->start_time, stream->time_base))
        return Time{};
    return time_of(stream->start_time - input.zero_ticks(stream), stream->time_base);
}

bool has_hdr_metadata(AVStream const* stream)
{
    return av_stream_get_side_data(stream, AV_PKT_DATA_MASTERING_DISPLAY_METADATA, nullptr) ||
           av_stream_get_side_data(stream, AV_PKT_DATA_CONTENT_LIGHT_LEVEL, nullptr);
}

bool is_interlaced(AVFieldOrder order)
{
    return order == AV_FIELD_TT || order == AV_FIELD_BB || order == AV_FIELD_TB || order == AV_FIELD_BT;
}

// QuickTime keeps it in a track of its own, which libavformat also tells of the pictures' track; Matroska and MXF
// beside the tags of the file.
std::string first_label(Input const& input, AVStream const* stream)
{
    std::string const own = tag(stream->metadata, "timecode");
    return own.empty() ? tag(input->metadata, "timecode") : own;
}

// A film that ends this much before its header says is cut off; less is a matter of rounding.
constexpr Time kCutOff = from_ticks(1, 1, 4);

// Longer is damage: a broken time stamp is much more likely than a lesson of a day.
constexpr Time kLongestFilm = from_ticks(24 * 3600, 1, 1);

std::string cut_off_note(Time end, Time claimed)
{
    return fmt::format("The file ends at {}, though its header says {}: it seems to be copied only in part.",
                       print_time(end, 1), print_time(claimed, 1));
}

void believe(PictureExtent const& extent, Input const& input, AVStream const* stream, MediaInfo& info)
{
    VideoTrack& track = *info.video;
    std::int64_t const zero = input.zero_ticks(stream);
    bool const said = input->duration != AV_NOPTS_VALUE && input->duration > 0 &&
                      input->duration_estimation_method == AVFMT_DURATION_FROM_STREAM;
    Time const claimed = track.start + track.duration;
    Time const end_of_all = time_of(extent.end_of_all - input.zero, AV_TIME_BASE_Q);
    Time const end = time_of(extent.end - zero, stream->time_base);
    if (extent.first != AV_NOPTS_VALUE)
        track.start = time_of(extent.first - zero, stream->time_base);
    if (extent.pictures > 0)
        track.pictures = extent.pictures;
    track.duration = std::max(Time{0}, end - track.start);
    if (said && claimed > end + kCutOff && (extent.cut_off || claimed > end_of_all + kCutOff)) {
        track.claimed_end = claimed;
        info.notes.push_back(cut_off_note(end, claimed));
    }
    info.duration = !said || track.claimed_end ? end_of_all : std::max(info.duration, end);
    if (extent.rate) {
        track.rate = extent.rate->nominal;
        track.variable_rate = extent.rate->variable;
    }
}

// libavformat takes the shorter of the edits' length, which counts the empty one that lets a track begin late, and the
// media's, which does not. The pictures tell which it was.
void end_late_track(PictureExtent const& extent, Input const& input, AVStream const* stream, VideoTrack& track)
{
    Time const end = time_of(extent.end - input.zero_ticks(stream), stream->time_base);
    Time const by_media = track.start + track.duration;
    Time const by_edits = track.duration;
    if (by_edits > track.start && std::abs((end - by_edits).count()) < std::abs((end - by_media).count()))
        track.duration = by_edits - track.start;
}

Result<void> check_length(MediaInfo const& info)
{
    Time const end = info.video->start + info.video->duration;
    if (end <= kLongestFilm && info.video->start >= -kLongestFilm)
        return {};
    return Error{ErrorKind::decode,
                 fmt::format("{}: its frames would last until {}: the times in this file are damaged",
                             info.path.string(), print_time(end, 1))};
}

VideoTrack video_track(Input const& input, AVStream* stream, std::vector<std::string>& notes)
{
    AVCodecParameters const& parameters = *stream->codecpar;
    VideoTrack track;
    track.stream = stream->index;
    track.codec = avcodec_get_name(parameters.codec_id);
    if (char const* profile = avcodec_profile_name(parameters.codec_id, parameters.profile))
        track.profile = profile;
    track.stored = {parameters.width, parameters.height};
    AVRational const aspect = av_guess_sample_aspect_ratio(input.handle.get(), stream, nullptr);
    if (aspect.num > 0 && aspect.den > 0)
        track.sample_aspect = {aspect.num, aspect.den};
    track.orientation = orientation_of(stream, notes);
    track.displayed = displayed_size(track.stored, track.sample_aspect, track.orientation);
    track.layout = layout_of(planar_yuv_for(static_cast<AVPixelFormat>(parameters.format)));
    track.colour = colour_of(parameters);
    track.interlaced = is_interlaced(parameters.field_order);
    track.hdr_metadata = has_hdr_metadata(stream);
    track.clock = {stream->time_base.num, stream->time_base.den};
    track.start = track_start(input, stream);
    track.duration = track_duration(input, stream, track.start);
    track.pictures = stream->nb_frames;
    track.first_label = first_label(input, stream);
    fill_rate(stream, input.handle.get(), track);
    return track;
}

SoundTrack sound_track(Input const& input, AVStream const* stream)
{
    SoundTrack track;
    track.stream = stream->index;
    track.codec = avcodec_get_name(stream->codecpar->codec_id);
    track.language = tag(stream->metadata, "language");
    track.rate = stream->codecpar->sample_rate;
    track.channels = stream->codecpar->ch_layout.nb_channels;
    track.start = track_start(input, stream);
    track.duration = track_duration(input, stream, track.start);
    return track;
}

bool is_still(AVStream const* stream)
{
    return (stream->disposition & (AV_DISPOSITION_ATTACHED_PIC | AV_DISPOSITION_TIMED_THUMBNAILS)) != 0;
}

// The default track, then the longest, then the largest, then the first.
AVStream* choose_video(Input const& input)
{
    AVStream* best = nullptr;
    auto const better = [&](AVStream const* a, AVStream const* b) {
        bool const default_a = (a->disposition & AV_DISPOSITION_DEFAULT) != 0;
        bool const default_b = (b->disposition & AV_DISPOSITION_DEFAULT) != 0;
        if (default_a != default_b)
            return default_a;
        Time const length_a = track_duration(input, a, Time{});
        Time const length_b = track_duration(input, b, Time{});
        if (length_a != length_b)
            return length_a > length_b;
        return std::int64_t{a->codecpar->width} * a->codecpar->height >
               std::int64_t{b->codecpar->width} * b->codecpar->height;
    };
    for (unsigned i = 0; i < input->nb_streams; ++i) {
        AVStream* stream = input->streams[i];
        bool const usable = stream->codecpar->codec_type == AVMEDIA_TYPE_VIDEO && !is_still(stream) &&
                            stream->codecpar->width > 0 && stream->codecpar->height > 0;
        if (usable && (!best || better(stream, best)))
            best = stream;
    }
    return best;
}

OtherTrack other_track(AVStream const* stream)
{
    OtherTrack track{stream->index, OtherTrack::Kind::data, avcodec_get_name(stream->codecpar->codec_id)};
    if (stream->codecpar->codec_type == AVMEDIA_TYPE_SUBTITLE)
        track.kind = OtherTrack::Kind::captions;
    else if (stream->codecpar->codec_type == AVMEDIA_TYPE_VIDEO)
        track.kind = is_still(stream) ? OtherTrack::Kind::cover_art : OtherTrack::Kind::video;
    return track;
}

void add_clock_note(Input const& input, MediaInfo& info)
{
    if (input.zero >= kFarFromZero)
        info.notes.push_back(fmt::format("The film's clock begins at {}: times here count from there, as in a player.",
                                         print_time(time_of(input.zero, AV_TIME_BASE_Q), 1)));
}

Result<void> add_film(Input const& input, AVStream* stream, MediaInfo& info)
{
    info.video = video_track(input, stream, info.notes);
    add_clock_note(input, info);
    TRY_ASSIGN(auto const extent, picture_extent(input, stream, info.path));
    if (extent && !extent->cut_off && has_whole_index(input.handle.get(), stream))
        end_late_track(*extent, input, stream, *info.video);
    else if (extent)
        believe(*extent, input, stream, info);
    return check_length(info);
}

Result<void> add_tracks(Input const& input, MediaInfo& info)
{
    AVStream* film = choose_video(input);
    if (film)
        TRY_VOID(add_film(input, film, info));
    for (unsigned i = 0; i < input->nb_streams; ++i) {
        AVStream* stream = input->streams[i];
        if (stream == film)
            continue;
        if (stream->codecpar->codec_type == AVMEDIA_TYPE_AUDIO)
            info.sound.push_back(sound_track(input, stream));
        else
            info.others.push_back(other_track(stream));
    }
    auto const second = std::count_if(info.others.begin(), info.others.end(),
                                      [](auto const& track) { return track.kind == OtherTrack::Kind::video; });
    if (film && second > 0)
        info.notes.push_back(fmt::format("The file has {} video tracks: overlays go onto track {} ({} x {}).",
                                         second + 1, film->index, info.video->stored.width, info.video->stored.height));
    return {};
}

void add_tags(Input const& input, MediaInfo& info)
{
    AVDictionaryEntry const* entry = nullptr;
    while ((entry = av_dict_get(input->metadata, "", entry, AV_DICT_IGNORE_SUFFIX))) {
        if (is_location(*entry))
            info.has_location = true;
        if (!is_container_key(entry->key))
            info.tags.emplace_back(entry->key, entry->value);
    }
    for (unsigned i = 0; i < input->nb_streams; ++i) {
        if (is_telemetry(input->streams[i]))
            info.has_location = true;
        entry = nullptr;
        while ((entry = av_dict_get(input->streams[i]->metadata, "", entry, AV_DICT_IGNORE_SUFFIX)))
            info.has_location = info.has_location || is_location(*entry);
    }
}

void add_chapters(Input const& input, MediaInfo& info)
{
    Time const zero = time_of(input.zero, AV_TIME_BASE_Q);
    for (unsigned i = 0; i < input->nb_chapters; ++i) {
        AVChapter const* chapter = input->chapters[i];
        info.chapters.push_back({time_of(chapter->start, chapter->time_base) - zero,
                                 time_of(chapter->end, chapter->time_base) - zero, tag(chapter->metadata, "title")});
    }
}

std::string lower_case(std::string_view text)
{
    std::string lower(text);
    std::transform(lower.begin(), lower.end(), lower.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return lower;
}

bool names_a_place(std::string_view lower)
{
    for (char const* word : {"location", "gps", "xyz", "loci", "latitude", "longitude"})
        if (lower.find(word) != std::string_view::npos)
            return true;
    return false;
}

// "+48.2082+016.3738/": signed degrees twice, perhaps a height (ISO 6709, annex H).
bool is_position(std::string_view text)
{
    int numbers = 0;
    for (std::size_t i = 0; i < text.size(); ++i) {
        bool const sign = text[i] == '+' || text[i] == '-';
        numbers += sign;
        if (!sign && text[i] != '.' && text[i] != '/' && (text[i] < '0' || text[i] > '9'))
            return false;
    }
    return numbers >= 2 && (text[0] == '+' || text[0] == '-') && text.size() >= 8;
}

} // namespace

ColourTags colour_of(AVCodecParameters const& parameters)
{
    ColourTags tags;
    tags.matrix = matrix_of(parameters);
    AVPixFmtDescriptor const* description = av_pix_fmt_desc_get(static_cast<AVPixelFormat>(parameters.format));
    bool const converted = description && (description->flags & AV_PIX_FMT_FLAG_RGB) != 0;
    tags.range = !converted && is_full_range(static_cast<AVPixelFormat>(parameters.format), parameters.color_range)
                     ? Range::full
                     : Range::limited;
    tags.transfer = parameters.color_trc == AVCOL_TRC_SMPTE2084      ? Transfer::pq
                    : parameters.color_trc == AVCOL_TRC_ARIB_STD_B67 ? Transfer::hlg
                                                                     : Transfer::sdr;
    tags.wide_gamut = parameters.color_primaries == AVCOL_PRI_BT2020;
    tags.tagged = converted || parameters.color_space != AVCOL_SPC_UNSPECIFIED;
    return tags;
}

bool is_location(AVDictionaryEntry const& tag)
{
    std::string const value = lower_case(tag.value);
    if (names_a_place(lower_case(tag.key)) || is_position(value))
        return true;
    bool const xmp = value.find("xmpmeta") != std::string::npos || value.find("<rdf:rdf") != std::string::npos ||
                     value.find("<?xpacket") != std::string::npos;
    // Photographers' programs keep the place as words, too: photoshop:City, Iptc4xmpCore:CountryCode.
    return xmp && (names_a_place(value) || value.find(":city") != std::string::npos ||
                   value.find(":country") != std::string::npos);
}

bool is_telemetry(AVStream const* stream)
{
    std::uint32_t const kind = stream->codecpar->codec_tag;
    return kind == MKTAG('g', 'p', 'm', 'd') || kind == MKTAG('m', 'e', 'b', 'x') || kind == MKTAG('c', 'a', 'm', 'm');
}

bool is_container_key(std::string_view key)
{
    return key == "major_brand" || key == "minor_version" || key == "compatible_brands" || key == "encoder";
}

Result<MediaInfo> describe(Input const& input, std::filesystem::path const& path)
{
    MediaInfo info;
    info.path = path;
    info.container = input->iformat->name;
    info.duration = file_duration(input);
    TRY_VOID(add_tracks(input, info));
    add_tags(input, info);
    add_chapters(input, info);
    return info;
}

Error no_video(MediaInfo const& info)
{
    return {ErrorKind::unsupported,
            fmt::format("{}: there is no moving picture in this file ({}). Give the film itself.", info.path.string(),
                        info.sound.empty() ? "and no sound" : "only sound")};
}

} // namespace tabard::pipeline::av
