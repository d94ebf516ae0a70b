#include "pipeline/retime/cut_source.h"

#include "pipeline/retime/short_list.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <cctype>
#include <filesystem>
#include <set>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr std::size_t kReelLength = 8;

std::string without_percent_signs(std::string_view text)
{
    std::string result;
    for (std::size_t i = 0; i < text.size(); ++i) {
        bool const coded = text[i] == '%' && i + 2 < text.size() &&
                           std::isxdigit(static_cast<unsigned char>(text[i + 1])) &&
                           std::isxdigit(static_cast<unsigned char>(text[i + 2]));
        result += coded ? static_cast<char>(std::stoi(std::string{text.substr(i + 1, 2)}, nullptr, 16)) : text[i];
        i += coded ? 2 : 0;
    }
    return result;
}

std::string plain_name(std::string_view name)
{
    std::string const file = without_percent_signs(name.substr(name.find_last_of("/\\") + 1));
    std::size_t const dot = file.rfind('.');
    bool const has_extension = dot != std::string::npos && dot > 0 && file.size() - dot <= 5;
    std::string result;
    for (char const sign : has_extension ? file.substr(0, dot) : file) {
        auto const byte = static_cast<unsigned char>(sign);
        if (std::isalnum(byte) || byte >= 0x80)
            result += static_cast<char>(std::tolower(byte));
    }
    return result;
}

bool has_name(CutSource const& source, std::string_view name)
{
    return std::ranges::any_of(source.names, [&](std::string const& own) { return same_source_name(own, name); });
}

std::vector<std::size_t> named(std::vector<CutSource> const& sources, std::string_view name)
{
    std::vector<std::size_t> result;
    for (std::size_t i = 0; i < sources.size(); ++i)
        if (sources[i].uses > 0 && has_name(sources[i], name))
            result.push_back(i);
    return result;
}

/// "LANTERN (3 shots), SPONSOR (1 shot)", the most used first.
std::string listed(std::vector<CutSource> sources)
{
    std::erase_if(sources, [](CutSource const& source) { return source.uses == 0; });
    std::ranges::stable_sort(sources, std::greater{}, &CutSource::uses);
    std::vector<std::string> words;
    for (CutSource const& source : sources)
        words.push_back(fmt::format("{} ({} shot{})", source.names.front(), source.uses, source.uses == 1 ? "" : "s"));
    return short_list(words);
}

/// Only what is seen in the end counts: a list may hold hidden tracks.
std::vector<CutSource> seen_sources(std::vector<CutShot> const& shots, std::vector<CutSource> sources)
{
    for (CutSource& source : sources)
        source.uses = 0;
    for (CutShot const& shot : shots)
        ++sources[shot.source].uses;
    return sources;
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

bool lies_past(EditMap const& map, std::optional<Time> footage_length)
{
    return footage_length &&
           std::ranges::all_of(map.spans(), [&](KeptSpan const& span) { return span.source.from >= *footage_length; });
}

bool same_source_name(std::string_view a, std::string_view b)
{
    std::string const one = plain_name(a);
    std::string const other = plain_name(b);
    if (one.empty() || other.empty())
        return false;
    return one == other || (one.size() == kReelLength && other.starts_with(one)) ||
           (other.size() == kReelLength && one.starts_with(other));
}

Result<std::vector<std::size_t>> choose_sources(std::vector<CutSource> const& sources, CutOptions const& options)
{
    auto const seen = std::ranges::count_if(sources, [](CutSource const& source) { return source.uses > 0; });
    if (seen == 0)
        return std::vector<std::size_t>{};
    if (!options.source.empty()) {
        auto const wanted = named(sources, options.source);
        if (wanted.empty())
            return Error{ErrorKind::invalid_input, fmt::format("nothing in the cut is called '{}'; it draws on {}",
                                                               options.source, listed(sources))};
        return wanted;
    }
    auto const alike = named(sources, options.footage);
    if (!alike.empty())
        return alike;
    if (seen == 1)
        return std::vector{
            static_cast<std::size_t>(std::ranges::max_element(sources, {}, &CutSource::uses) - sources.begin())};
    return Error{ErrorKind::invalid_input,
                 fmt::format("the cut draws on {} and none is called like the footage '{}'. Say which one is the "
                             "footage with --reel NAME",
                             listed(sources), options.footage)};
}

Result<CutReading> cut_of_shots(std::vector<CutShot> const& shots, std::vector<CutSource> const& sources,
                                CutOptions const& options)
{
    TRY_ASSIGN(auto const chosen, choose_sources(seen_sources(shots, sources), options));
    CutReading reading;
    std::vector<KeptSpan> kept;
    std::set<std::string> others;
    Time new_material{0};
    for (CutShot const& shot : shots) {
        reading.new_length = std::max(reading.new_length, shot.span.target.to);
        if (std::ranges::find(chosen, shot.source) != chosen.end()) {
            kept.push_back(shot.span);
            continue;
        }
        others.insert(sources[shot.source].names.front());
        new_material += shot.span.target.length();
    }
    if (!others.empty())
        reading.remarks.push_back(fmt::format("{:.3f} s of the new film are new material, from {}",
                                              to_seconds(new_material), short_list({others.begin(), others.end()})));
    TRY_ASSIGN(reading.map, EditMap::create(std::move(kept)));
    TRY_VOID(check_within_footage(reading.map, options));
    remark_on_motion(reading.map, reading.remarks);
    return reading;
}

} // namespace tabard::pipeline
