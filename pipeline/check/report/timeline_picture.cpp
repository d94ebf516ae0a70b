#include "pipeline/check/report/timeline_picture.h"

#include "overlay/base/letters.h"
#include "pipeline/check/formats.h"
#include "pipeline/check/report/html.h"
#include "pipeline/time/timecode.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr double kWidth = 1000;

/// One line of the picture: [in, out) of the film across its whole width.
struct Line {
    Time in{0};
    Time out{0};
    double x(Time time) const { return kWidth * to_seconds(std::clamp(time, in, out) - in) / to_seconds(out - in); }
    template <class Span>
    bool shows(Span const& span) const
    {
        return span.in < out && span.out > in;
    }
};

/// Long films get longer lines, for nobody reads a hundred of them.
Time line_length(Time film)
{
    constexpr std::int64_t kMostLines = 60;
    std::int64_t const seconds = film <= Time{240 * kFlicksPerSecond}   ? 30
                                 : film <= Time{900 * kFlicksPerSecond} ? 60
                                                                        : 120;
    return std::max(Time{seconds * kFlicksPerSecond}, film / kMostLines);
}

/// A labelled bar; the label is left out where it would not fit, and shown on pointing in any case.
std::string bar(Line const& line, Time in, Time out, double y, double height, std::string const& kind,
                std::string const& label)
{
    double const x = line.x(in);
    double const width = std::max(1.0, line.x(out) - x - 1);
    auto const text = html_escaped(label);
    auto svg = fmt::format("<g class=\"{}\"><title>{}, {} to {}</title><rect x=\"{:.1f}\" y=\"{}\" width=\"{:.1f}\" "
                           "height=\"{}\" rx=\"3\"/>",
                           kind, text, print_time(in, 1), print_time(out, 1), x, y, width, height);
    if (7.2 * static_cast<double>(count_letters(label)) + 8 <= width)
        svg += fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\">{}</text>", x + 5, y + height / 2 + 4.5, text);
    return svg + "</g>\n";
}

std::string ruler(Line const& line)
{
    Time const step = (line.out - line.in) / 6;
    std::string svg;
    for (int i = 0; i < 6; ++i) {
        double const x = kWidth * i / 6;
        svg += fmt::format(
            "<path class=\"tick\" d=\"M{:.1f} 2v104\"/><text class=\"time\" x=\"{:.1f}\" y=\"13\">{}</text>\n", x + 0.5,
            x + 4, print_time(line.in + i * step, 0));
    }
    return svg;
}

/// A circle, a triangle or a square, so that the severities differ without colour as well.
std::string mark(Line const& line, Finding const& finding, std::size_t number)
{
    double const x = std::clamp(line.x(*finding.time), 8.0, kWidth - 8);
    std::string shape;
    switch (finding.severity) {
    case Severity::error:
        shape = fmt::format("<circle cx=\"{:.1f}\" cy=\"98\" r=\"7\"/>", x);
        break;
    case Severity::warning:
        shape = fmt::format("<path d=\"M{:.1f} 90l8 15h-16z\"/>", x);
        break;
    case Severity::advice:
        shape = fmt::format("<rect x=\"{:.1f}\" y=\"92\" width=\"12\" height=\"12\"/>", x - 6);
        break;
    }
    auto const label = html_escaped(
        fmt::format("{} at {}: {}", severity_name(finding.severity), print_time(*finding.time, 1), finding.what));
    return fmt::format("<a href=\"#finding-{}\" class=\"mark {}\" aria-label=\"{}\"><title>{}</title>{}</a>\n", number,
                       severity_name(finding.severity), label, label, shape);
}

std::string draw(Line const& line, Timeline const& timeline, std::vector<FoldedFinding> const& findings)
{
    auto svg = fmt::format("<svg viewBox=\"0 0 1000 110\" role=\"img\" aria-label=\"The film from {} to {}\">\n",
                           print_time(line.in, 0), print_time(line.out, 0));
    svg += ruler(line);
    for (auto const& span : timeline.sections())
        if (line.shows(span))
            svg += bar(line, span.in, span.out, 18, 22, "section", span.name);
    for (auto const& span : timeline.chords())
        if (line.shows(span))
            svg += bar(line, span.in, span.out, 43, 24, span.played ? "chord" : "chord talk",
                       span.name.empty() ? "N.C." : span.name);
    for (auto const& span : timeline.strums())
        if (line.shows(span))
            svg += bar(line, span.in, span.out, 70, 7, "strum", span.name);
    for (auto const& span : timeline.texts())
        if (line.shows(span))
            svg += bar(line, span.in, span.out, 79, 7, "text", span.text);
    for (std::size_t i = 0; i < findings.size(); ++i) {
        auto const& time = findings[i].finding.time;
        if (time && *time >= line.in && *time < line.out)
            svg += mark(line, findings[i].finding, i + 1);
    }
    return svg + "</svg>\n";
}

Time film_end(Timeline const& timeline)
{
    Time end = timeline.facts().duration;
    for (auto const& section : timeline.sections())
        end = std::max(end, section.out);
    return std::max(end, Time{kFlicksPerSecond});
}

} // namespace

std::string timeline_picture(Timeline const& timeline, std::vector<FoldedFinding> const& findings)
{
    Time const end = film_end(timeline);
    Time const length = line_length(end);
    std::string svg;
    for (Time in{0}; in < end; in += length)
        svg += draw({in, in + length}, timeline, findings);
    return svg;
}

} // namespace tabard::pipeline
