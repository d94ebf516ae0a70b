#include "pipeline/check/report/report.h"

#include "pipeline/check/formats.h"
#include "pipeline/check/report/html.h"
#include "pipeline/check/report/timeline_picture.h"
#include "pipeline/time/timecode.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr std::string_view kStyle = R"(
:root { color-scheme: light; --ink: #1d2129; --soft: #565d69; --rule: #d5d9e0; --error: #a4161a; --warning: #7a4b00;
  --advice: #14509e; }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 68rem; padding: 1.5rem 1.25rem 4rem; font: 16px/1.5 Inter, "Segoe UI", Roboto,
  "Noto Sans", "DejaVu Sans", sans-serif; color: var(--ink); background: #fff; }
h1 { font-size: 1.6rem; line-height: 1.2; margin: 0 0 .25rem; }
h2 { font-size: 1.15rem; margin: 2.25rem 0 .75rem; }
p { margin: .25rem 0; }
.soft { color: var(--soft); }
a { color: var(--advice); }
a:focus-visible, article:focus-visible, .film:focus-visible { outline: 3px solid #14509e; outline-offset: 3px; }
.skip { position: absolute; left: -99rem; }
.skip:focus { position: static; }
.film { overflow-x: auto; }
svg { display: block; width: 100%; min-width: 44rem; margin: 0 0 .5rem; border-bottom: 1px solid var(--rule); font: 12px/1 Inter,
  "Segoe UI", Roboto, "Noto Sans", "DejaVu Sans", sans-serif; overflow: visible; }
.tick { stroke: var(--rule); } .time { fill: var(--soft); font-size: 11px; }
.section rect { fill: #33415c; } .section text { fill: #fff; }
.chord rect { fill: #d9e4f5; stroke: #7f9cc9; } .chord.talk rect { fill: #fff; stroke-dasharray: 4 3; }
.chord text { fill: var(--ink); font-weight: 600; }
.strum rect { fill: #b7c9a8; } .text rect { fill: #e3cba8; }
.strum text, .text text { display: none; }
.mark.error { fill: var(--error); } .mark.warning { fill: var(--warning); } .mark.advice { fill: var(--advice); }
.mark:focus-visible { outline: none; stroke: #14509e; stroke-width: 4; }
ul.key { list-style: none; display: flex; flex-wrap: wrap; gap: .25rem 1.5rem; padding: 0; margin: .5rem 0 0;
  font-size: .875rem; color: var(--soft); }
.key span { display: inline-block; width: 1.4em; height: .85em; margin-right: .4em; border-radius: 3px; vertical-align: -.05em; }
article { display: flex; flex-wrap: wrap; gap: 1rem 1.25rem; padding: 1rem 0; border-top: 1px solid var(--rule);
  break-inside: avoid; }
article > div { flex: 1 1 24rem; }
article img { flex: none; align-self: flex-start; max-width: min(20rem, 100%); max-height: 15rem; border-radius: 4px; }
.upright { display: grid; grid-template-columns: repeat(auto-fill, minmax(min(28rem, 100%), 1fr)); column-gap: 2rem; }
.upright article { flex-wrap: nowrap; } .upright article > div { flex-basis: 12rem; }
article:target { background: #fff8e1; box-shadow: 0 0 0 .6rem #fff8e1; }
.badge { font-weight: 700; } .badge.error { color: var(--error); } .badge.warning { color: var(--warning); }
.badge.advice { color: var(--advice); }
.what { font-size: 1.05rem; }
code { font: .875em ui-monospace, "DejaVu Sans Mono", monospace; }
@media print { body { max-width: none; padding: 0; font-size: 11pt; } .skip, .back { display: none; }
  .film { overflow: visible; } svg { min-width: 0; } svg, article { break-inside: avoid; } article img { max-width: 6.5cm; max-height: 6.5cm; } * { print-color-adjust: exact; } }
)";

constexpr std::string_view kKey = R"(<ul class="key" aria-label="What the colours mean">
<li><span style="background:#33415c"></span>section</li>
<li><span style="background:#d9e4f5;border:1px solid #7f9cc9"></span>played chord</li>
<li><span style="border:1px dashed #7f9cc9"></span>chord in a talk</li>
<li><span style="background:#b7c9a8"></span>strum pattern</li>
<li><span style="background:#e3cba8"></span>text</li>
<li><b class="badge error">&#9679;</b> error</li>
<li><b class="badge warning">&#9650;</b> warning</li>
<li><b class="badge advice">&#9632;</b> advice</li>
</ul>
)";

std::string place(ReportInput const& input, Finding const& finding)
{
    auto const file = html_escaped(input.file.string());
    return finding.at.line > 0 ? fmt::format("{}:{}:{}", file, finding.at.line, finding.at.column) : file;
}

std::string article(ReportInput const& input, std::size_t number)
{
    auto const& [finding, more, section] = input.result.findings[number - 1];
    auto const when = finding.time ? " at " + print_time(*finding.time, 1) : "";
    auto html = fmt::format("<article id=\"finding-{}\" tabindex=\"-1\"><div>\n", number);
    html += fmt::format("<p><b class=\"badge {0}\">{0}</b>{1}{2}</p>\n", severity_name(finding.severity), when,
                        section.empty() ? "" : " in " + html_escaped(section));
    html += fmt::format("<p class=\"what\">{}</p>\n", html_escaped(finding.what));
    if (!finding.fix.empty())
        html += fmt::format("<p>To fix it: {}</p>\n", html_escaped(finding.fix));
    html += fmt::format("<p class=\"soft\"><code>{}</code> [{}]{}</p>\n", place(input, finding),
                        html_escaped(finding.code), more > 0 ? fmt::format(", and {} more like it", more) : "");
    html += "</div>\n";
    auto const picture = finding.time && input.picture_at ? input.picture_at(*finding.time) : std::string{};
    if (!picture.empty())
        html += fmt::format("<img src=\"{}\" alt=\"The film at {}\">\n", picture, print_time(*finding.time, 1));
    return html + "</article>\n";
}

std::string accepted(ReportInput const& input)
{
    if (input.result.accepted.empty())
        return {};
    std::string html = "<h2>Accepted by the author</h2>\n<ul>\n";
    for (auto const& [finding, reason] : input.result.accepted)
        html += fmt::format("<li>{} [{}]: {}</li>\n", html_escaped(finding.what), html_escaped(finding.code),
                            html_escaped(reason));
    return html + "</ul>\n";
}

} // namespace

std::string report_html(ReportInput const& input)
{
    bool const named = input.lesson && !input.lesson->title->empty();
    auto const title = html_escaped(named ? *input.lesson->title : input.file.filename().string());
    std::string html = "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                       "<meta name=\"viewport\" content=\"width=device-width\">\n"
                       "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; "
                       "style-src 'unsafe-inline'\">\n";
    html += fmt::format("<title>Findings: {}</title>\n<style>{}</style>\n</head>\n<body>\n", title, kStyle);
    html += "<a class=\"skip\" href=\"#findings\">Skip to the findings</a>\n<header>\n";
    html += fmt::format("<h1>{}</h1>\n<p>{}</p>\n", title, html_escaped(summary_text(input.result)));
    html +=
        fmt::format("<p class=\"soft\"><code>{}</code></p>\n</header>\n<main>\n", html_escaped(input.file.string()));
    if (input.timeline) {
        // On a phone the lines stay as long as their labels need, and are pushed to and fro, with arrow keys too.
        html += "<h2>The film</h2>\n<div class=\"film\" role=\"group\" aria-label=\"The film, line by line\" "
                "tabindex=\"0\">\n" +
                timeline_picture(*input.timeline, input.result.findings) + "</div>\n";
        html += kKey;
    }
    html += "<h2 id=\"findings\" tabindex=\"-1\">Findings</h2>\n";
    if (input.result.findings.empty())
        html += "<p>No problems found.</p>\n";
    html += input.upright ? "<div class=\"upright\">\n" : "<div>\n";
    for (std::size_t number = 1; number <= input.result.findings.size(); ++number)
        html += article(input, number);
    html += "</div>\n";
    html += accepted(input);
    return html + "</main>\n</body>\n</html>\n";
}

} // namespace tabard::pipeline
