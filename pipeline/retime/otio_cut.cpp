#include "pipeline/retime/otio_cut.h"

#include "overlay/base/json_reader.h"
#include "pipeline/retime/cut_source.h"
#include "pipeline/retime/otio_media.h"
#include "pipeline/retime/otio_object.h"
#include "pipeline/retime/otio_time.h"
#include "pipeline/retime/short_list.h"
#include "pipeline/retime/shot_sequence.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <map>
#include <set>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace tabard::pipeline {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t kMostItems = 200'000;
constexpr std::size_t kMostRemarks = 20;
/// Of other programs: they note down much that is none of our business.
constexpr JsonLimits kOtioFile{.text = 16 << 20,
                               .name = 100'000,
                               .depth = 1000,
                               .values = 20'000'000,
                               .control_characters = true,
                               .advice = "export the one timeline that is meant"};
constexpr double kFastest = 10'000; ///< and slowest: no film runs so

Error wrong(std::string const& place, std::string const& what)
{
    return {ErrorKind::invalid_input, fmt::format("{}: {}", place, what)};
}

/// How fast an item runs: the product of its time effects.
struct Pace {
    double scalar = 1;
    bool frozen = false;
};

/// Picture that an item shows before its start and after its end, because a transition's middle is not at the seam.
struct Handles {
    Time before{0};
    Time after{0};
};

class Flattener {
public:
    explicit Flattener(CutOptions const& options) : m_options(options) {}

    Result<ShotSequence> sequence_of(Json const& item, std::string const& place, Handles handles, int depth)
    {
        if (depth > kDeepestNest)
            return wrong(place, fmt::format("compositions are nested more than {} deep", kDeepestNest));
        if (++m_items > kMostItems)
            return wrong(place, fmt::format("more than {} items", kMostItems));
        std::string const schema = schema_of(item);
        if (schema != "Clip" && schema != "Gap" && schema != "Track" && schema != "Stack")
            return Error{ErrorKind::unsupported,
                         fmt::format("{}: {} among the items of a composition", place,
                                     schema.empty() ? "something that is no OpenTimelineIO object"
                                                    : fmt::format("the unknown schema '{}'", schema))};
        ShotSequence content;
        if (schema == "Track" || schema == "Stack") {
            TRY_ASSIGN(content, schema == "Track" ? track(item, place, depth) : stack(item, place, depth));
        }
        TRY_ASSIGN(Interval const range, range_of(item, schema, content.length, place));
        Interval const shown{range.from - handles.before, range.to + handles.after};
        if (!is_enabled(item))
            note_disabled(item);
        if (shown.empty() || schema == "Gap" || !is_enabled(item))
            return ShotSequence{std::max(Time{0}, shown.length()), {}, {}};
        TRY_ASSIGN(Pace const pace, pace_of(item, place));
        return schema == "Clip" ? clip(item, range, shown, pace) : through(content, range, shown, pace);
    }

    std::vector<CutSource> const& sources() const { return m_sources; }
    std::vector<CutDoubt> take_doubts() { return std::move(m_doubts); }
    std::vector<std::string> take_remarks()
    {
        if (!m_laid_over.empty())
            remark(fmt::format("{} {} over the picture: what is under {} is followed",
                               short_list({m_laid_over.begin(), m_laid_over.end()}),
                               m_laid_over.size() == 1 ? "lies" : "lie", m_laid_over.size() == 1 ? "it" : "them"));
        return std::move(m_remarks);
    }

private:
    static bool is_enabled(Json const& item)
    {
        Json const* const enabled = member(item, "enabled");
        return enabled == nullptr || !enabled->is_boolean() || enabled->get<bool>();
    }

    /// The stretch of its own content that an item shows at normal speed; its length is the item's length.
    static Result<Interval> range_of(Json const& item, std::string const& schema, Time content_length,
                                     std::string const& place)
    {
        if (Json const* const range = member(item, "source_range"))
            return otio_range(*range, place + "/source_range");
        if (schema != "Clip")
            return Interval{Time{0}, content_length};
        Json const* const media = active_media(item);
        Json const* const available = media == nullptr ? nullptr : member(*media, "available_range");
        if (available == nullptr)
            return wrong(place, "the clip has neither a source_range nor media with an available_range, so its length "
                                "is unknown");
        return otio_range(*available, place + "/media_reference/available_range");
    }

    /// Children end to end; a transition lies over the seam of its neighbours and takes no time.
    Result<ShotSequence> track(Json const& item, std::string const& place, int depth)
    {
        ShotSequence sequence;
        TRY_ASSIGN(Json const* const children, children_of(item, place));
        Time shift{0}; // of the seam before the next child
        for (std::size_t i = 0; children != nullptr && i < children->size(); ++i) {
            Json const& child = (*children)[i];
            std::string const child_place = fmt::format("{}/{}", place, i);
            if (schema_of(child) == "Transition")
                continue; // at the first or last place it leads from or to black, and the picture stays
            Time next_shift{0};
            if (i + 2 < children->size() && schema_of((*children)[i + 1]) == "Transition") {
                TRY_ASSIGN(next_shift, seam_shift((*children)[i + 1], fmt::format("{}/{}", place, i + 1)));
            }
            TRY_ASSIGN(ShotSequence const next, sequence_of(child, child_place, {-shift, next_shift}, depth + 1));
            sequence.append(next);
            shift = next_shift;
        }
        return sequence;
    }

    /// How much later than the seam the middle of a transition is, in whole frames rounded down.
    static Result<Time> seam_shift(Json const& transition, std::string const& place)
    {
        TRY_ASSIGN(OtioTime const before, otio_time_member(transition, "in_offset", place));
        TRY_ASSIGN(OtioTime const after, otio_time_member(transition, "out_offset", place));
        Time const twice = after.time - before.time;
        if (!after.rate)
            return Time{twice.count() / 2};
        std::int64_t const frames = to_ticks(twice, after.rate->den, after.rate->num);
        return from_frame((frames - (frames % 2 != 0 && frames < 0 ? 1 : 0)) / 2, *after.rate);
    }

    Result<ShotSequence> stack(Json const& item, std::string const& place, int depth)
    {
        std::vector<ShotSequence> layers;
        TRY_ASSIGN(Json const* const children, children_of(item, place));
        for (std::size_t i = 0; children != nullptr && i < children->size(); ++i) {
            Json const& child = (*children)[i];
            if (schema_of(child) == "Track" && text_of(child, "kind") == "Audio")
                continue;
            TRY_ASSIGN(ShotSequence layer, sequence_of(child, fmt::format("{}/{}", place, i), {}, depth + 1));
            if (!layers.empty())
                let_through(layer);
            layers.push_back(std::move(layer));
        }
        return flattened(layers);
    }

    /// Titles, and pictures of a kind that may be clear in places, lie over a film and do not take its place.
    void let_through(ShotSequence& layer)
    {
        std::erase_if(layer.shots, [&](CutShot const& shot) {
            bool const is_clear = m_clear[shot.source];
            if (is_clear)
                m_laid_over.insert(m_sources[shot.source].name());
            return is_clear;
        });
    }

    void note_disabled(Json const& item)
    {
        if (schema_of(item) == "Clip") {
            ++m_sources[source_of(item)].disabled;
            return;
        }
        if (Json const* const children = member(item, "children"); children != nullptr && children->is_array())
            for (Json const& child : *children)
                note_disabled(child);
    }

    static Result<Json const*> children_of(Json const& item, std::string const& place)
    {
        Json const* const children = member(item, "children");
        if (children != nullptr && !children->is_array())
            return wrong(place, "children is no list");
        return children;
    }

    Result<Pace> pace_of(Json const& item, std::string const& place)
    {
        Pace pace;
        Json const* const effects = member(item, "effects");
        for (std::size_t i = 0; effects != nullptr && effects->is_array() && i < effects->size(); ++i) {
            Json const& effect = (*effects)[i];
            std::string const schema = is_enabled(effect) ? schema_of(effect) : "";
            if (schema == "FreezeFrame") {
                pace.frozen = true;
            } else if (schema == "LinearTimeWarp") {
                Json const* const scalar = member(effect, "time_scalar");
                if (scalar == nullptr || !scalar->is_number())
                    return wrong(fmt::format("{}/effects/{}", place, i), "a LinearTimeWarp needs its time_scalar");
                pace.scalar *= scalar->get<double>();
            } else if (schema == "TimeEffect" &&
                       (schema_of(item) != "Clip" || may_be_footage(otio_media(item, m_options).source))) {
                doubt({fmt::format("{} has a time effect ('{}') that cannot be followed: it is taken at normal speed",
                                   text_of(item, "name"), text_of(effect, "effect_name")),
                       "look at the film there, and set its cues by hand"});
            }
        }
        pace.frozen = pace.frozen || pace.scalar == 0;
        if (!(std::abs(pace.scalar) <= kFastest) || (!pace.frozen && std::abs(pace.scalar) < 1 / kFastest))
            return wrong(place, fmt::format("a speed of {} cannot be followed", pace.scalar));
        return pace;
    }

    /// `shown` lies around `range` at normal speed; at another speed the content runs from range.from on.
    static ShotSequence through(ShotSequence const& content, Interval range, Interval shown, Pace pace)
    {
        auto const at_pace = [&](Time time) {
            double const flicks = static_cast<double>((time - range.from).count()) * std::abs(pace.scalar);
            return pace.scalar == 1 || pace.scalar == -1
                       ? time
                       : range.from + Time{static_cast<std::int64_t>(std::llround(flicks))};
        };
        if (pace.frozen)
            return content.seen_through(range, shown.length(), Motion::freeze);
        Interval const window{at_pace(shown.from), at_pace(shown.to)};
        return content.seen_through(window, shown.length(), pace.scalar < 0 ? Motion::reverse : Motion::forward);
    }

    Result<ShotSequence> clip(Json const& item, Interval range, Interval shown, Pace pace)
    {
        Json const* const media = active_media(item);
        std::size_t const source = source_of(item);
        Time start{0}; // of the media's own labels
        if (Json const* const available = media == nullptr ? nullptr : member(*media, "available_range")) {
            TRY_ASSIGN(Interval const all, otio_range(*available, "available_range"));
            start = all.from;
        }
        if (!m_options.source_start.empty()) {
            TRY_ASSIGN(start, parse_time(m_options.source_start, m_options.rate));
        }
        if (Time const first = m_starts.try_emplace(source, start).first->second;
            first != start && may_be_footage(m_sources[source]))
            doubt({fmt::format("clips of {} count it from {} and from {}", m_sources[source].name(), print_time(first),
                               print_time(start)),
                   "give the label of its first frame with --source-start"});
        // As long as any film can be: a clip may ask for more than its media says it has.
        Interval const everything{-kLatestTime / 4, kLatestTime / 4};
        ShotSequence const whole{kLatestTime / 4, {{source, {everything, everything, Motion::forward}}}, {}};
        Interval const local{range.from - start, range.to - start};
        return through(whole, local, {shown.from - start, shown.to - start}, pace);
    }

    std::size_t source_of(Json const& clip)
    {
        auto [source, is_clear] = otio_media(clip, m_options);
        std::string const key =
            fmt::format("{}\n{}\n{}\n{}", source.file, source.clip, static_cast<int>(source.picture), is_clear);
        auto const [entry, is_new] = m_by_name.try_emplace(key, m_sources.size());
        if (is_new) {
            m_sources.push_back(std::move(source));
            m_clear.push_back(is_clear);
        }
        return entry->second;
    }

    /// Whether doubts of a clip's times are doubts of cues.
    bool may_be_footage(CutSource const& source) const
    {
        return source.is_called(m_options.footage) || source.is_called(m_options.source) || source.is_nameless();
    }

    void remark(std::string text)
    {
        if (m_remarks.size() < kMostRemarks)
            m_remarks.push_back(std::move(text));
    }

    void doubt(CutDoubt doubt)
    {
        if (m_doubts.size() < kMostRemarks && std::ranges::find(m_doubts, doubt) == m_doubts.end())
            m_doubts.push_back(std::move(doubt));
    }

    CutOptions const& m_options;
    std::size_t m_items = 0;
    std::vector<CutSource> m_sources;
    std::vector<bool> m_clear; ///< of each source: whether a film under it is seen
    std::set<std::string> m_laid_over;
    std::map<std::string, std::size_t> m_by_name;
    std::vector<std::string> m_remarks;
    std::vector<CutDoubt> m_doubts;
    std::map<std::size_t, Time> m_starts; ///< of each source's own labels, as its first clip has it
};

/// The composition that a file is about.
Result<Json const*> root_of(Json const& document)
{
    std::string const schema = schema_of(document);
    if (schema == "Timeline") {
        if (Json const* const tracks = member(document, "tracks"))
            return tracks;
        return wrong("the timeline", "there are no tracks");
    }
    if (schema == "Stack" || schema == "Track" || schema == "Clip")
        return &document;
    if (schema == "SerializableCollection") {
        Json const* const children = member(document, "children");
        if (children != nullptr && children->is_array() && children->size() == 1)
            return root_of(children->front());
        return Error{ErrorKind::unsupported,
                     fmt::format("the file is a collection of {} things; export the one timeline that is meant",
                                 children == nullptr ? 0 : children->size())};
    }
    if (schema.empty())
        return Error{ErrorKind::invalid_input, "this JSON is no OpenTimelineIO file: it has no OTIO_SCHEMA"};
    return Error{ErrorKind::unsupported, fmt::format("the file holds a {}, not a timeline", schema)};
}

} // namespace

Result<CutReading> parse_otio_cut(std::string_view text, CutOptions const& options)
{
    TRY_ASSIGN(Json const document, parse_json(text, kOtioFile));
    TRY_ASSIGN(Json const* const root, root_of(document));
    Flattener flattener(options);
    TRY_ASSIGN(ShotSequence const sequence, flattener.sequence_of(*root, "tracks", {}, 0));
    TRY_ASSIGN(auto reading, cut_of_shots({sequence.shots, sequence.hidden}, flattener.sources(), options));
    reading.new_length = sequence.length;
    auto remarks = flattener.take_remarks();
    reading.remarks.insert(reading.remarks.begin(), remarks.begin(), remarks.end());
    reading.doubts = flattener.take_doubts();
    return reading;
}

} // namespace tabard::pipeline
