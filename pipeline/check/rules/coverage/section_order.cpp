#include "pipeline/check/rules/rules.h"
#include "pipeline/time/timecode.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<SectionSpan const*> as_written;
    for (SectionSpan const& span : input.timeline.sections())
        as_written.push_back(&span);
    std::ranges::sort(as_written, {}, &SectionSpan::section);
    std::vector<Finding> findings;
    SectionSpan const* latest = nullptr;
    for (SectionSpan const* span : as_written) {
        if (latest && span->in < latest->in)
            findings.push_back(kSectionOrder.at(span->at, span->in,
                                                fmt::format("part '{}' at {} stands after '{}' at {}", span->name,
                                                            print_time(span->in), latest->name, print_time(latest->in)),
                                                "write the parts in the order of the film"));
        else
            latest = span;
    }
    return findings;
}

} // namespace

Rule const kSectionOrder{"section-order", Severity::warning, "parts out of the order of the film",
                         "Parts are read like a running order. One that stands later in the file than it comes in the "
                         "film is shown at its time all the same, but the sheet and the next reader follow the file.",
                         find};

} // namespace tabard::pipeline
