#include "tests/bench/listen/check_tally.h"

#include "overlay/base/precondition.h"
#include "pipeline/cues/reader.h"
#include "pipeline/listen/compare_with_sound.h"
#include "pipeline/listen/lesson_music.h"
#include "pipeline/listen/listen_codes.h"
#include "pipeline/timeline/tempo_map.h"
#include "tests/support/performance/lesson_text.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <optional>
#include <set>
#include <string_view>
#include <vector>

#include <fmt/format.h>

namespace tabard::tests {

namespace {

double mean_beat(Performance const& played)
{
    double seconds = 0;
    double beats = 0;
    for (PlayedPart const& part : played.parts)
        if (part.played()) {
            seconds += part.beats.back() - part.beats.front();
            beats += static_cast<double>(part.beats.size() - 1);
        }
    return seconds / beats;
}

bool is_at(std::vector<pipeline::Finding> const& findings, pipeline::FindingCode const& code,
           pipeline::SourcePosition place)
{
    return std::ranges::any_of(
        findings, [&](pipeline::Finding const& finding) { return finding.code == code.code && finding.at == place; });
}

/// How many changes after the one at its place a finding is about: "... and the next 3 changes are shown ...".
int further_changes(std::string const& what)
{
    constexpr std::string_view kNext = "and the next ";
    auto const at = what.find(kNext);
    if (at == std::string::npos)
        return 0;
    char const first = what[at + kNext.size()];
    return first >= '0' && first <= '9' ? std::atoi(what.c_str() + at + kNext.size()) : 1;
}

/// The spans of a part whose cues are said to be off: one, some changes in a row, the whole part, or all parts at once.
std::set<std::size_t> spans_off(std::vector<pipeline::Finding> const& findings, pipeline::Section const& section,
                                pipeline::ExpectedPart const& part, pipeline::PartOrigin const& origin)
{
    std::set<std::size_t> off;
    for (pipeline::Finding const& finding : findings) {
        if (finding.code != pipeline::kCueOffSound.code)
            continue;
        bool const whole = finding.at == section.at || finding.what.starts_with("all ");
        int left = 0;
        for (std::size_t span = 0; span < part.spans.size(); ++span) {
            if (origin.places[span] == finding.at)
                left = 1 + further_changes(finding.what);
            if (!part.changes(span))
                continue;
            if (whole || left > 0)
                off.insert(span);
            left = std::max(0, left - 1);
        }
    }
    return off;
}

/// Cues that are judged wrongly, by beat and how late they are in milliseconds, and all that is said of cues.
void print_judged(std::string const& name, std::string const& wrongly, std::vector<pipeline::Finding> const& findings)
{
    fmt::print("    {}:{}\n", name, wrongly);
    for (pipeline::Finding const& finding : findings)
        if (finding.code == pipeline::kCueOffSound.code)
            fmt::print("        {}\n", finding.what);
}

std::string percent(int part, int whole)
{
    return whole == 0 ? std::string("-") : fmt::format("{:.1f}", 100.0 * part / whole);
}

} // namespace

void CheckTally::add(Performance const& played, pipeline::Hearing const& heard, std::string const& name)
{
    for (std::size_t n = 0; n < kShifts.size(); ++n) {
        CheckShift const& shift = kShifts[n];
        Cues& cues = m_cues[n];
        CueMove move{.seconds = shift.seconds + shift.beats * mean_beat(played)};
        if (shift.which == CheckShift::Which::one_part)
            move.part = 1;
        if (shift.which == CheckShift::Which::two_bars) {
            move.first_bar = 3;
            move.bars = 2;
        }
        auto const text = timed_lesson(played, move);
        auto const reading = pipeline::parse_lesson(text, "lantern.json");
        PRECONDITION(reading.lesson.has_value());
        auto const& lesson = *reading.lesson;
        if (lesson.sections.empty())
            continue;
        auto const findings = pipeline::compare_with_sound(lesson, heard);
        auto const music = pipeline::lesson_music(lesson, pipeline::Places::as_written);
        for (std::size_t p = 0; p < music.parts.size(); ++p) {
            auto const& section = lesson.sections[static_cast<std::size_t>(music.origins[p].section)];
            auto const number = static_cast<std::size_t>(std::stoi(section.name->substr(5))) - 1; // "Part 3"
            PlayedPart const& truth = played.parts[number];
            auto const map = *pipeline::tempo_map(section);
            auto const& part = music.parts[p];
            bool const silent = is_at(findings, pipeline::kPartNotHeard, section.at);
            bool const unsure = is_at(findings, pipeline::kCuesNotJudged, section.at);
            auto const off = spans_off(findings, section, part, music.origins[p]);
            bool any = false;
            std::string wrongly;
            for (std::size_t span = 0; span < part.spans.size(); ++span) {
                if (!part.changes(span) || !truth.sounded(span))
                    continue;
                double const shown = pipeline::to_seconds(
                    map.time_at(music.origins[p].position(part.spans[span].first_beat, *section.meter)));
                // ITU-R BT.1359-1; a cue near its edge may go either way.
                // On a beat that the pattern passes, the beat is right as well.
                auto const beat = static_cast<std::size_t>(part.spans[span].first_beat);
                std::array const lates{shown - truth.span_starts[span],
                                       shown - (truth.passed[span] ? truth.beats[beat] : truth.span_starts[span])};
                bool const right =
                    std::ranges::any_of(lates, [](double late) { return late < 0.040 && late > -0.115; });
                bool const wrong =
                    std::ranges::all_of(lates, [](double late) { return late > 0.050 || late < -0.135; });
                bool const flagged = off.contains(span);
                ++cues.cues;
                if (silent) {
                    ++cues.unheard;
                    continue;
                }
                any |= flagged;
                cues.flagged += flagged;
                cues.right += right;
                cues.right_flagged += right && flagged;
                cues.off += wrong;
                cues.off_flagged += wrong && flagged;
                cues.off_unsure += wrong && !flagged && unsure;
                if ((right && flagged && n == 0) || (wrong && !flagged))
                    wrongly += fmt::format(" {}:{:+.0f}", part.spans[span].first_beat, 1000 * lates[0]);
            }
            if (!name.empty() && !wrongly.empty())
                print_judged(fmt::format("{}, part {}, {}", name, number + 1, shift.name), wrongly, findings);
            if (!silent) {
                ++cues.parts;
                cues.parts_flagged += any;
                cues.parts_unsure += unsure;
            }
        }
    }
}

void CheckTally::add(CheckTally const& other)
{
    for (std::size_t n = 0; n < m_cues.size(); ++n) {
        m_cues[n].cues += other.m_cues[n].cues;
        m_cues[n].unheard += other.m_cues[n].unheard;
        m_cues[n].right += other.m_cues[n].right;
        m_cues[n].right_flagged += other.m_cues[n].right_flagged;
        m_cues[n].off += other.m_cues[n].off;
        m_cues[n].off_flagged += other.m_cues[n].off_flagged;
        m_cues[n].off_unsure += other.m_cues[n].off_unsure;
        m_cues[n].flagged += other.m_cues[n].flagged;
        m_cues[n].parts += other.m_cues[n].parts;
        m_cues[n].parts_flagged += other.m_cues[n].parts_flagged;
        m_cues[n].parts_unsure += other.m_cues[n].parts_unsure;
    }
}

std::string CheckTally::header()
{
    return fmt::format("{:<36} {:>5} {:>9} {:>7} {:>7} {:>7} {:>7} {:>7} {:>7}", "check: cues flagged, %", "cues",
                       "unjudged", "true", "+80 ms", "-80 ms", "+130", "-130", "+-beat/2");
}

std::string CheckTally::row(std::string const& name) const
{
    auto const all = [&](std::size_t n) { return percent(m_cues[n].flagged, m_cues[n].cues - m_cues[n].unheard); };
    return fmt::format("{:<36} {:>5} {:>9} {:>7} {:>7} {:>7} {:>7} {:>7} {:>7}", name, m_cues[0].cues,
                       m_cues[0].unheard, percent(m_cues[0].right_flagged, m_cues[0].right), all(1), all(2), all(3),
                       all(4),
                       percent(m_cues[5].flagged + m_cues[6].flagged,
                               m_cues[5].cues + m_cues[6].cues - m_cues[5].unheard - m_cues[6].unheard));
}

std::string CheckTally::table() const
{
    std::string text =
        fmt::format("{:<30} {:>6} {:>9} {:>8} {:>9} {:>6} {:>8} {:>9} {:>10} {:>9} {:>9}\n", "cues", "cues", "unjudged",
                    "in sync", "flagged %", "off", "found %", "unsure %", "flagged %", "parts %", "unsure %");
    for (std::size_t n = 0; n < m_cues.size(); ++n) {
        Cues const& one = m_cues[n];
        text += fmt::format("{:<30} {:>6} {:>9} {:>8} {:>9} {:>6} {:>8} {:>9} {:>10} {:>9} {:>9}\n", kShifts[n].name,
                            one.cues, one.unheard, one.right, percent(one.right_flagged, one.right), one.off,
                            percent(one.off_flagged, one.off), percent(one.off_unsure, one.off),
                            percent(one.flagged, one.cues - one.unheard), percent(one.parts_flagged, one.parts),
                            percent(one.parts_unsure, one.parts));
    }
    return text;
}

} // namespace tabard::tests
