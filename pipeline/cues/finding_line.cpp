#include "pipeline/cues/finding_line.h"

#include "pipeline/time/timecode.h"

#include <fmt/format.h>

namespace tabard::pipeline {

std::string finding_line(std::filesystem::path const& file, Finding const& finding, int more)
{
    std::string line = fmt::format("{}:{}:{}: {}: ", file.string(), finding.at.line, finding.at.column,
                                   severity_name(finding.severity));
    if (finding.time)
        line += fmt::format("at {}: ", print_time(*finding.time, 1));
    line += on_one_line(finding.what);
    if (more > 0)
        line += fmt::format(" (and {} more like it)", more);
    if (!finding.fix.empty())
        line += fmt::format("; {}", on_one_line(finding.fix));
    return line + fmt::format(" [{}]", finding.code);
}

} // namespace tabard::pipeline
