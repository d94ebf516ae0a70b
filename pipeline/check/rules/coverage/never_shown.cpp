#include "pipeline/check/rules/rules.h"
#include "pipeline/check/rules/text_in_words.h"
#include "pipeline/time/timecode.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

template <class Span>
void look(std::vector<Span> const& spans, std::string Span::*name, std::vector<Finding>& findings)
{
    for (Span const& span : spans)
        if (span.out <= span.in)
            findings.push_back(
                kNeverShown.at(span.at, span.in,
                               fmt::format("'{}' at {} is never seen: what follows begins at the same time",
                                           text_in_words(span.*name), print_time(span.in)),
                               "move one of the two, or take one out"));
}

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    look(input.timeline.chords(), &ChordSpan::name, findings);
    look(input.timeline.strums(), &StrumSpan::name, findings);
    look(input.timeline.texts(), &TextSpan::text, findings);
    return findings;
}

} // namespace

Rule const kNeverShown{
    "never-shown", Severity::error, "a cue that lasts no time at all",
    "A cue without \"to\" lasts until the next of its kind. Two that begin at the same time, or one that "
    "begins where its part ends, leave no time to see the first.",
    find};

} // namespace tabard::pipeline
