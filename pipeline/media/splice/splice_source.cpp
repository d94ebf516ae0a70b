#include "pipeline/media/splice/splice_source.h"

#include "pipeline/media/read/flaw_pass.h"
#include "pipeline/media/read/picture_stream.h"
#include "pipeline/media/write/encoder.h"

#include <algorithm>
#include <limits>
#include <set>
#include <span>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// Empty where nothing is in the way.
using Reason = std::string;

constexpr int kBaseline = 66, kMain = 77, kHigh = 100;

Reason reason_in_headers(MediaInfo const& film, AVStream const& stream, Container target)
{
    VideoTrack const& video = *film.video;
    bool const mov = film.container.find("mp4") != std::string::npos;
    if (!mov && film.container.find("matroska") == std::string::npos)
        return fmt::format("groups are copied from MP4, MOV and Matroska only, and this is {}", film.container);
    if (video.codec != "h264")
        return fmt::format("only groups of H.264 are copied, and this is {}", video.codec);
    if (!av::can_hold(target, AV_CODEC_ID_H264))
        return fmt::format("{} does not hold H.264", name(target));
    if (mov && stream.codecpar->codec_tag != MKTAG('a', 'v', 'c', '1'))
        return "its parameter sets stand among the frames";
    return {};
}

Reason reason_in_parameters(std::optional<AvcConfiguration> const& configuration,
                            std::optional<SequenceParameters> const& sequence)
{
    if (!configuration || !sequence || configuration->picture_sets.empty())
        return "its decoder configuration cannot be read";
    if (configuration->sequence_sets.size() != 1)
        return "it uses several sequence parameter sets";
    if (configuration->length_bytes == 3)
        return "its unit lengths have three bytes";
    if (sequence->chroma_format != 1 || sequence->bit_depth != 8)
        return "it is not 8-bit 4:2:0";
    if (!sequence->frames_only)
        return "it is coded for interlaced frames";
    if (sequence->profile != kBaseline && sequence->profile != kMain && sequence->profile != kHigh)
        return fmt::format("its profile ({}) is none of Baseline, Main and High", sequence->profile);
    return {};
}

std::optional<int> free_id(AvcConfiguration const& configuration, SequenceParameters const& sequence)
{
    std::set<int> used = {sequence.id};
    for (auto const& set : configuration.picture_sets)
        used.insert(parse_picture_parameters_id(set).value_or(0));
    for (int id = 1; id < 32; ++id)
        if (!used.contains(id))
            return id;
    return std::nullopt;
}

// A group is held in memory whole, and a few of them at a time. Phones write a few megabytes a group.
constexpr std::int64_t kMostGroupBytes = 64'000'000;

// Gathers groups picture by picture; the first thing that is in the way ends it.
class GroupFinder {
public:
    explicit GroupFinder(SpliceSource& source) : m_source(source) {}

    Reason add(av::PictureStream::Next const& next)
    {
        if (next.left_out && !m_any)
            return "its edit list begins inside a group of pictures";
        m_left_out = m_left_out || next.left_out;
        if (next.left_out)
            return {}; // nothing needs what is decoded last
        if (m_left_out)
            return "its edit list leaves out frames that others need";
        if (!next.whole)
            return "a frame is damaged";
        if (!next.shown_known)
            return "a frame has no time";
        m_decoded_known = m_decoded_known && next.decoded_known;
        if (m_decoded_known && next.picture.decoded > next.picture.shown)
            return "a frame is shown before it is decoded";
        if (m_decoded_known && m_any && next.picture.decoded <= m_last_decoded)
            return "its decoding times do not rise";
        auto const units = split_counted_units(next.picture.data, m_source.configuration.length_bytes);
        if (!units || units->empty())
            return "a coded frame cannot be read";
        bool begins_group = false;
        for (auto const unit : *units) {
            int const type = nal_type(unit[0]);
            begins_group = begins_group || type == kIdrSlice;
            if ((type == kSequenceSet || type == kPictureSet) && !is_known(unit))
                return "its parameter sets change on the way";
            if (type >= 2 && type <= 4)
                return "its slices are partitioned";
        }
        // Between two IDR pictures all is one group; where few or none follow the first, that is the whole film.
        if (next.key && !begins_group)
            return "its groups of pictures are open";
        return place(next.picture, begins_group);
    }

    /// After the last picture.
    void finish()
    {
        if (!m_source.groups.empty())
            m_source.groups.back().digest = m_digest.hex();
    }

    /// Matroska keeps no decoding times, and libavformat does not always find them.
    bool decoded_known() const { return m_decoded_known; }

private:
    bool is_known(std::span<std::byte const> unit) const
    {
        auto const equal = [&](auto const& set) { return std::ranges::equal(set, unit); };
        AvcConfiguration const& sets = m_source.configuration;
        return std::ranges::any_of(sets.sequence_sets, equal) || std::ranges::any_of(sets.picture_sets, equal);
    }

    Reason place(CodedPicture const& picture, bool begins_group)
    {
        if (begins_group) {
            finish();
            m_digest = GroupDigest();
            m_source.groups.push_back({m_source.shown.size(), 0, 0, {}});
            m_shown_before = m_highest_shown;
            m_group_shown = picture.shown;
        } else if (!m_any) {
            return "it does not begin with a frame that needs no other";
        }
        if (m_any && picture.shown <= m_shown_before)
            return "groups of pictures overlap in time";
        if (picture.shown < m_group_shown)
            return "frames of a group are shown before the one it begins with";
        m_highest_shown = m_any ? std::max(m_highest_shown, picture.shown) : picture.shown;
        m_any = true;
        m_last_decoded = picture.decoded;
        m_source.groups.back().pictures += 1;
        m_source.groups.back().bytes += static_cast<std::int64_t>(picture.data.size());
        if (m_source.groups.back().bytes > kMostGroupBytes)
            return fmt::format("a group of its frames is larger than {} MB", kMostGroupBytes / 1'000'000);
        m_source.shown.push_back(picture.shown);
        m_source.decoded.push_back(picture.decoded);
        m_source.durations.push_back(picture.duration);
        m_digest.add(picture);
        return {};
    }

    SpliceSource& m_source;
    bool m_any = false;
    bool m_left_out = false;
    bool m_decoded_known = true;
    GroupDigest m_digest; ///< of the last group
    std::int64_t m_last_decoded = 0;
    std::int64_t m_group_shown = 0;                                         // of the picture that begins the group
    std::int64_t m_highest_shown = 0;                                       // so far
    std::int64_t m_shown_before = std::numeric_limits<std::int64_t>::min(); // highest of the groups before this
};

// How many pictures stand before `shown[last]` in its group and are shown after it.
int depth_at(SpliceSource const& source, std::size_t first, std::size_t last)
{
    // H.264 reorders over 16 pictures at most (its largest decoded picture buffer).
    int depth = 0;
    for (std::size_t i = last - std::min<std::size_t>(last - first, 32); i < last; ++i)
        depth += source.shown[i] > source.shown[last];
    return depth;
}

// With `reordering`, the picture that is coded at place i of a group is at the earliest the one shown at i -
// reordering.
bool has_room(SpliceSource const& source, GroupPlace const& group, std::size_t reordering)
{
    auto const begin = source.shown.begin() + static_cast<std::ptrdiff_t>(group.first_picture);
    std::vector<std::int64_t> sorted(begin, begin + static_cast<std::ptrdiff_t>(group.pictures));
    std::sort(sorted.begin(), sorted.end());
    for (std::size_t i = 1; i < sorted.size(); ++i)
        if (source.decoded[group.first_picture + i] > sorted[std::max<std::size_t>(1, i - std::min(i, reordering))])
            return false;
    return true;
}

// The most that the film itself reorders.
int reordering_of(SpliceSource const& source)
{
    int depth = 0;
    for (GroupPlace const& group : source.groups)
        for (std::size_t i = 0; i < group.pictures; ++i)
            depth = std::max(depth, depth_at(source, group.first_picture, group.first_picture + i));
    return depth;
}

// As late as can be: each picture is decoded when the one shown `depth` places before it is.
Reason invent_decoding_times(SpliceSource& source, int depth)
{
    std::vector<std::int64_t> sorted = source.shown;
    std::sort(sorted.begin(), sorted.end());
    if (std::adjacent_find(sorted.begin(), sorted.end()) != sorted.end())
        return "two frames have one time";
    FrameRate const rate = source.info.video->rate;
    Ratio const clock = source.info.video->clock;
    std::int64_t const step = std::max<std::int64_t>(1, to_ticks(from_frame(1, rate), clock.num, clock.den));
    auto const lead = static_cast<std::size_t>(depth);
    for (std::size_t i = 0; i < sorted.size(); ++i)
        source.decoded[i] = i < lead ? sorted[0] - static_cast<std::int64_t>(lead - i) * step : sorted[i - lead];
    return {};
}

int possible_reordering(SpliceSource const& source, int depth)
{
    auto const fits = [&](GroupPlace const& group) { return has_room(source, group, static_cast<std::size_t>(depth)); };
    depth = std::min(depth, 2);
    while (depth > 0 && !std::ranges::all_of(source.groups, fits))
        --depth;
    return depth;
}

SpliceInspection refused(Reason why) { return {std::nullopt, std::move(why)}; }

Result<void> read_pictures(CodedFilm& film, av::PictureWatcher const& watcher, bool const& enough)
{
    av::PictureStream& pictures = film.pictures();
    TRY_VOID(pictures.rewind());
    while (!enough) {
        auto const next = pictures.next();
        watcher(next);
        if (!next)
            return next.error();
        if (!*next)
            break;
    }
    return {};
}

// Why groups cannot be copied, as the pictures show.
Result<Reason> gather(CodedFilm& film, GroupFinder& groups, std::vector<FilmFlaw>* flaws)
{
    Reason why;
    std::optional<Error> unreadable;
    bool enough = false;
    auto const watcher = [&](Result<std::optional<av::PictureStream::Next>> const& next) {
        if (enough)
            return;
        if (!next)
            unreadable = next.error();
        else if (*next)
            why = groups.add(**next);
        enough = !next || !*next || !why.empty();
    };
    if (flaws) {
        TRY_ASSIGN(*flaws, av::find_flaws(film, watcher));
        if (unreadable)
            return *unreadable;
    } else {
        TRY_VOID(read_pictures(film, watcher, enough));
    }
    return why;
}

// As far as the headers tell; `groups` and times are not known.
struct Headers {
    Reason why_not;
    std::optional<SpliceSource> source;
};
Headers read_headers(CodedFilm& film, Container target)
{
    av::PictureStream const& pictures = film.pictures();
    if (Reason why = reason_in_headers(film.info(), pictures.stream(), target); !why.empty())
        return {std::move(why), {}};
    AVCodecParameters const& parameters = *pictures.stream().codecpar;
    auto const configuration = AvcConfiguration::parse(
        std::as_bytes(std::span(parameters.extradata, static_cast<std::size_t>(parameters.extradata_size))));
    auto const sequence = configuration && !configuration->sequence_sets.empty()
                              ? parse_sequence_parameters(configuration->sequence_sets[0])
                              : std::nullopt;
    if (Reason why = reason_in_parameters(configuration, sequence); !why.empty())
        return {std::move(why), {}};
    auto const id = free_id(*configuration, *sequence);
    if (!id)
        return {"no number for new parameter sets is free", {}};
    return {{}, SpliceSource{film.info(), *configuration, *sequence, *id, 0, {}, {}, {}, {}}};
}

} // namespace

Time SpliceSource::shown_at(std::size_t picture) const
{
    return from_ticks(shown[picture], info.video->clock.num, info.video->clock.den);
}

Result<SpliceInspection> inspect_for_splicing(CodedFilm& film, Container target, std::vector<FilmFlaw>* flaws)
{
    auto [why_not, headers] = read_headers(film, target);
    if (!headers) {
        if (flaws) {
            TRY_ASSIGN(*flaws, find_flaws(film));
        }
        return refused(std::move(why_not));
    }
    SpliceSource& source = *headers;
    GroupFinder groups(source);
    TRY_ASSIGN(Reason why, gather(film, groups, flaws));
    if (!why.empty())
        return refused(std::move(why));
    if (source.groups.empty())
        return refused("it has no frames");
    groups.finish();
    int const depth = reordering_of(source);
    if (!groups.decoded_known())
        if (why = invent_decoding_times(source, depth); !why.empty())
            return refused(std::move(why));
    source.reordering = possible_reordering(source, depth);
    return SpliceInspection{std::move(source), {}};
}

} // namespace tabard::pipeline
