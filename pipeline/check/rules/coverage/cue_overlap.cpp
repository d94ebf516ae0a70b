#include "pipeline/check/rules/rules.h"
#include "pipeline/check/rules/text_in_words.h"
#include "pipeline/time/timecode.h"
#include "pipeline/timeline/resting.h"

#include <algorithm>
#include <map>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

struct Shown {
    Time in;
    Time out;
    bool played;
    SourcePosition at;
    std::string name;
};

/// Each cue that begins while another of its layer is still on; charts against charts are the sections' business.
void find_in_layer(std::vector<Shown> const& layer, std::string_view kind, std::vector<Finding>& findings)
{
    Shown const* longest = nullptr;
    for (Shown const& shown : layer) {
        bool const overlaps = longest && longest->out - shown.in > kTouching && shown.out > shown.in;
        bool const already = !findings.empty() && longest && findings.back().at == longest->at && shown.played;
        if (overlaps && !(longest->played && shown.played) && !already) {
            Shown const& cue = shown.played ? *longest : shown;
            findings.push_back(
                kCueOverlap.at(cue.at, shown.in,
                               fmt::format("{} '{}' begins at {}, while '{}' is on until {}", kind, shown.name,
                                           print_time(shown.in), longest->name, print_time(longest->out)),
                               "end the first one earlier, or begin the second one later"));
        }
        if (!longest || shown.out > longest->out)
            longest = &shown;
    }
}

/// In a rest what is played gives way to single cues.
template <class Span>
void add(Span const& span, std::string const& name, std::map<int, std::vector<Interval>> const& rests,
         std::vector<Shown>& layer)
{
    auto const own = span.played ? rests.find(span.section) : rests.end();
    for (Interval const part : without({span.in, span.out}, own == rests.end() ? std::vector<Interval>{} : own->second))
        layer.push_back({part.from, part.to, span.played, span.at, name});
}

std::vector<Finding> find(CheckInput const& input)
{
    auto const rests = rests_by_section(input.timeline.sections());
    std::vector<Shown> chords;
    for (ChordSpan const& span : input.timeline.chords())
        add(span, span.name.empty() ? "N.C." : span.name, rests, chords);
    std::vector<Shown> strums;
    for (StrumSpan const& span : input.timeline.strums())
        add(span, span.name, rests, strums);
    std::vector<Shown> texts;
    for (TextSpan const& span : input.timeline.texts())
        texts.push_back({span.in, span.out, false, span.at, text_in_words(span.text)});
    std::vector<Finding> findings;
    for (auto* const layer : {&chords, &strums})
        std::ranges::stable_sort(*layer, {}, &Shown::in);
    find_in_layer(chords, "chord", findings);
    find_in_layer(strums, "strum", findings);
    find_in_layer(texts, "text", findings);
    return findings;
}

} // namespace

Rule const kCueOverlap{
    "cue-overlap", Severity::error, "two cues of one kind at the same time",
    "There is room for one chord, one strum and one text at a time. Where two overlap the later one is "
    "shown and the first one never comes back, which is hardly what was meant. An overlap of less than "
    "one frame is not counted.",
    find};

} // namespace tabard::pipeline
