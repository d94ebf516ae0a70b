#include "pipeline/retime/cut_source.h"

#include "pipeline/retime/short_list.h"
#include "pipeline/retime/source_choice.h"
#include "pipeline/retime/source_name.h"
#include "pipeline/time/coverage.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <set>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

using Picture = CutSource::Picture;

/// Only what is seen in the end counts: a list may hold hidden tracks.
std::vector<CutSource> seen_sources(std::vector<CutShot> const& shots, std::vector<CutSource> sources)
{
    for (CutSource& source : sources)
        source.uses = 0;
    for (CutShot const& shot : shots)
        ++sources[shot.source].uses;
    return sources;
}

/// The sources that would be the footage if all of them were seen.
std::vector<std::size_t> meant_sources(std::vector<CutSource> sources, CutOptions const& options)
{
    for (CutSource& source : sources)
        source.uses = std::max(source.uses, 1);
    auto const choice = choose_sources(sources, options);
    return choice ? choice->sources : std::vector<std::size_t>{};
}

std::vector<Interval> places_of(std::vector<CutShot> const& shots, std::vector<std::size_t> const& chosen)
{
    Coverage covered;
    for (CutShot const& shot : shots)
        if (std::ranges::find(chosen, shot.source) != chosen.end())
            covered.add(shot.span.target);
    return covered.stretches();
}

/// "from 0:05.000 to 0:10.000"
std::string in_words(std::vector<Interval> const& places)
{
    std::vector<std::string> words;
    for (Interval const& place : places)
        words.push_back(fmt::format("from {} to {}", print_time(place.from), print_time(place.to)));
    return short_list(words);
}

/// Why nothing of the footage is left, where the choice fell on nothing that is seen.
std::string why_nothing(CutPicture const& picture, std::vector<CutSource> const& sources, CutOptions const& options)
{
    auto const meant = meant_sources(sources, options);
    if (auto const hidden = places_of(picture.hidden, meant); !hidden.empty())
        return fmt::format("{} is in the cut, but other pictures hide it ({}): switch their track off, and write the "
                           "list again",
                           sources[meant.front()].name(), in_words(hidden));
    bool const is_disabled = std::ranges::any_of(meant, [&](std::size_t i) { return sources[i].disabled > 0; });
    if (is_disabled)
        return fmt::format("{} is in the cut, but all its shots are disabled", sources[meant.front()].name());
    if (std::ranges::any_of(sources, [](CutSource const& source) { return source.disabled > 0; }))
        return "all its shots are disabled";
    if (!picture.shots.empty())
        return fmt::format("it shows nothing but black or generated picture ({})",
                           listed(seen_sources(picture.shots, sources)));
    return "there is no picture in it";
}

void remark_on_motion(EditMap const& map, std::vector<std::string>& remarks)
{
    for (KeptSpan const& span : map.spans()) {
        std::string const where = print_time(span.target.from);
        if (span.motion == Motion::freeze)
            remarks.push_back(fmt::format("at {} of the new film a frame is held for {:.3f} s: played parts cannot "
                                          "follow there",
                                          where, to_seconds(span.target.length())));
        if (span.motion == Motion::reverse)
            remarks.push_back(fmt::format("from {} of the new film {:.3f} s run backwards: played parts cannot follow "
                                          "there",
                                          where, to_seconds(span.target.length())));
    }
}

Result<void> check_within_footage(EditMap const& map, CutOptions const& options)
{
    if (!options.footage_length || map.spans().empty())
        return {};
    auto const before = [](KeptSpan const& span) { return span.source.to <= Time{0}; };
    if (std::ranges::all_of(map.spans(), before))
        return Error{ErrorKind::invalid_input,
                     "every piece of the cut lies before the beginning of the footage: the label of its first frame is "
                     "later than all labels of the cut. Give the right one with --source-start"};
    if (!lies_past(map, options.footage_length))
        return {};
    return Error{ErrorKind::invalid_input,
                 fmt::format("every piece of the cut lies behind the end of the footage ({}): its labels do not begin "
                             "at zero. Give the label of the footage's first frame with --source-start",
                             print_time(*options.footage_length))};
}

} // namespace

std::optional<Time> telling_label(CutOptions const& options)
{
    if (options.footage_label.empty() || !options.rate)
        return std::nullopt;
    auto const frame = timecode_frame(options.footage_label, *options.rate);
    if (!frame)
        return std::nullopt;
    bool const is_full_hour = options.footage_label.size() == 11 && options.footage_label.substr(3, 2) == "00" &&
                              options.footage_label.substr(6, 2) == "00" && options.footage_label.substr(9) == "00";
    return is_full_hour ? std::nullopt : std::optional{from_frame(*frame, *options.rate)};
}

bool lies_past(EditMap const& map, std::optional<Time> footage_length)
{
    return footage_length &&
           std::ranges::all_of(map.spans(), [&](KeptSpan const& span) { return span.source.from >= *footage_length; });
}

CutSource source_called(std::string reel, std::string clip, std::string file)
{
    CutSource source;
    source.reel = std::move(reel);
    (file.empty() && is_file_name(clip) ? source.file : source.clip) = std::move(clip);
    if (!file.empty())
        source.file = std::move(file);
    return source;
}

std::string CutSource::name() const
{
    if (!file.empty())
        return file_name(file);
    return !clip.empty() ? clip : !reel.empty() ? reel : "(no name)";
}

bool CutSource::is_called(std::string_view name) const
{
    return same_source_name(file, name) || same_source_name(clip, name) || same_source_name(reel, name) ||
           same_source_name(this->name(), name);
}

bool CutSource::is_nameless() const
{
    std::string const plain = plain_name(reel);
    bool const is_number = std::ranges::all_of(plain, [](char sign) { return sign >= '0' && sign <= '9'; });
    return file.empty() && clip.empty() && (is_number || plain == "ax");
}

Result<CutReading> cut_of_shots(CutPicture const& picture, std::vector<CutSource> const& sources,
                                CutOptions const& options)
{
    TRY_ASSIGN(SourceChoice const choice, choose_sources(seen_sources(picture.shots, sources), options));
    auto const is_footage = [&](std::size_t source) {
        return std::ranges::find(choice.sources, source) != choice.sources.end();
    };
    CutReading reading;
    std::vector<KeptSpan> kept;
    std::set<std::string> others;
    Time new_material{0};
    for (CutShot const& shot : picture.shots) {
        reading.new_length = std::max(reading.new_length, shot.span.target.to);
        if (is_footage(shot.source)) {
            kept.push_back(shot.span);
        } else if (sources[shot.source].picture != Picture::called_generated) {
            others.insert(sources[shot.source].name());
            new_material += shot.span.target.length();
        }
    }
    if (kept.empty())
        return Error{ErrorKind::invalid_input,
                     fmt::format("the cut keeps nothing of the footage: {}", why_nothing(picture, sources, options))};
    reading.remarks = choice.remarks;
    if (!others.empty())
        reading.remarks.push_back(fmt::format("{:.3f} s of the new film are new material, from {}",
                                              to_seconds(new_material), short_list({others.begin(), others.end()})));
    if (auto const hidden = places_of(picture.hidden, choice.sources); !hidden.empty())
        reading.remarks.push_back(fmt::format("the footage is hidden under other pictures {} of the new film: it is "
                                              "not followed there",
                                              in_words(hidden)));
    TRY_ASSIGN(reading.map, EditMap::create(std::move(kept)));
    TRY_VOID(check_within_footage(reading.map, options));
    remark_on_motion(reading.map, reading.remarks);
    return reading;
}

} // namespace tabard::pipeline
