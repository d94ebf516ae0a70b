#include "pipeline/check/checker.h"

#include "overlay/base/nearest_word.h"
#include "pipeline/check/rules/rules.h"

#include <algorithm>
#include <map>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// The section whose braces hold a place of the file; null outside. Through a cut, sections are in the order of the
/// film and not of the file, and the pieces of one share their braces.
Section const* section_at(Lesson const& lesson, SourcePosition at)
{
    auto const found = std::ranges::find_if(
        lesson.sections, [at](Section const& section) { return section.at <= at && at <= section.end; });
    return found == lesson.sections.end() ? nullptr : &*found;
}

struct Placed {
    Finding finding;
    std::string section;
    Time order{0}; ///< when its place in the file is on screen, where the finding itself has no time
};

std::vector<Placed> place(std::vector<Finding> findings, CheckInput const& input)
{
    Lesson const& lesson = input.charts ? input.charts->lesson : input.lesson;
    Timeline const& timeline = input.charts ? input.charts->timeline : input.timeline;
    std::map<Section const*, Time> begins;
    for (SectionSpan const& span : timeline.sections())
        begins[&lesson.sections[static_cast<std::size_t>(span.section)]] = span.in;
    std::vector<Placed> placed;
    for (Finding& finding : findings) {
        Section const* section = section_at(lesson, finding.at);
        Time const order = finding.time.value_or(section ? begins[section] : Time{-1});
        placed.push_back({std::move(finding), section ? *section->name : "", order});
    }
    return placed;
}

bool accepts(Acceptance const& acceptance, Placed const& placed)
{
    return acceptance.code == placed.finding.code &&
           (acceptance.section.empty() || acceptance.section == placed.section);
}

/// A part without a time is not in the film: what is found in its chart has no time either.
std::vector<Finding> found_by(Rule const& rule, CheckInput const& input)
{
    if (!input.charts || !rule.about_charts)
        return rule.find(input);
    CheckInput charts{input.charts->lesson, input.charts->timeline, input.film};
    charts.broken = input.broken;
    auto findings = rule.find(charts);
    for (Finding& finding : findings)
        if (finding.time && *finding.time >= input.charts->end)
            finding.time.reset();
    return findings;
}

bool looks(Rule const& rule, CheckOptions const& options)
{
    return rule.find && (rule.about_charts || !options.charts_only);
}

/// Whether what a rule looks at was there to be looked at: with --quick neither pictures nor sound are.
bool could_look(Rule const& rule, CheckInput const& input)
{
    if (&rule == &kNoChords || &rule == &kEmptyText)
        return !input.broken;
    if (&rule == &kLoudness)
        return input.film && input.film->loudness;
    return !rule.looks_at_pictures || input.pictures;
}

/// What may be accepted. What the reader refuses makes the film impossible and cannot be wished away.
class Acceptable {
public:
    Acceptable(CheckInput const& input, OtherFindings const& others, CheckOptions const& options)
    {
        for (Rule const* rule : all_rules())
            if (rule->find)
                m_sought[rule->code] = looks(*rule, options) && could_look(*rule, input);
        for (FindingCode const& code : others.codes)
            m_sought[code.code] = others.sought;
    }

    bool contains(std::string_view code) const { return m_sought.contains(code); }
    /// Nobody could find it in this run, so that nothing found says nothing.
    bool unsought(std::string_view code) const
    {
        auto const found = m_sought.find(code);
        return found != m_sought.end() && !found->second;
    }
    std::string suggestion(std::string_view code) const
    {
        std::vector<std::string_view> codes;
        for (auto const& [known, sought] : m_sought)
            codes.push_back(known);
        auto const near = nearest_word(code, codes);
        return near ? fmt::format("did you mean '{}'?", *near) : "write the word that stands in a finding's brackets";
    }

private:
    std::map<std::string_view, bool> m_sought; ///< by code
};

Finding stale(Acceptance const& acceptance, Acceptable const& acceptable)
{
    auto const finding = [&](std::string what, std::string fix) {
        return kStaleAccept.at(acceptance.at, std::nullopt, std::move(what), std::move(fix));
    };
    if (acceptable.contains(acceptance.code))
        return finding(fmt::format("'{}' is accepted here, but there is no such finding any more", acceptance.code),
                       "delete this entry of \"accept\"");
    if (find_rule(acceptance.code))
        return finding(fmt::format("'{}' cannot be accepted: without it there is no lesson", acceptance.code),
                       "fix what it says, and delete this entry of \"accept\"");
    return finding(fmt::format("no finding has the code '{}'", acceptance.code),
                   acceptable.suggestion(acceptance.code));
}

/// Moves what the author accepts into `result`, and adds a finding for each acceptance that accepts nothing.
void take_accepted(std::vector<Placed>& placed, Lesson const& lesson, Acceptable const& acceptable, CheckResult& result)
{
    std::vector<bool> needed(lesson.accept.size());
    std::erase_if(placed, [&](Placed& one) {
        for (std::size_t i = 0; i < lesson.accept.size(); ++i) {
            if (!accepts(lesson.accept[i], one) || !acceptable.contains(one.finding.code))
                continue;
            needed[i] = true;
            result.accepted.push_back({std::move(one.finding), lesson.accept[i].reason});
            return true;
        }
        return false;
    });
    for (std::size_t i = 0; i < needed.size(); ++i)
        if (!needed[i] && !acceptable.unsought(lesson.accept[i].code))
            placed.push_back({stale(lesson.accept[i], acceptable), "", Time{-1}});
}

/// Findings of one rule that say the same in other places become one.
void fold(std::vector<Placed> placed, CheckResult& result)
{
    std::map<std::pair<std::string, std::string>, std::size_t> first;
    for (Placed& one : placed) {
        auto const [found, is_new] = first.try_emplace({one.finding.code, one.finding.what}, result.findings.size());
        if (is_new)
            result.findings.push_back({std::move(one.finding), 0, std::move(one.section)});
        else
            ++result.findings[found->second].more;
    }
}

void count(CheckResult& result, CheckOptions const& options)
{
    for (FoldedFinding& folded : result.findings) {
        if (options.strict && folded.finding.severity == Severity::warning)
            folded.finding.severity = Severity::error;
        int const all = 1 + folded.more;
        switch (folded.finding.severity) {
        case Severity::error:
            result.errors += all;
            break;
        case Severity::warning:
            result.warnings += all;
            break;
        case Severity::advice:
            result.advice += all;
            break;
        }
    }
}

} // namespace

CheckResult check_lesson(CheckInput input, std::vector<Finding> read, OtherFindings others, CheckOptions const& options)
{
    input.broken = std::ranges::find(read, Severity::error, &Finding::severity) != read.end();
    Acceptable const acceptable(input, others, options);
    std::ranges::move(others.findings, std::back_inserter(read));
    for (Rule const* rule : all_rules())
        if (looks(*rule, options))
            std::ranges::move(found_by(*rule, input), std::back_inserter(read));
    std::vector<Placed> placed = place(std::move(read), input);
    CheckResult result;
    take_accepted(placed, input.lesson, acceptable, result);
    std::ranges::stable_sort(placed, {}, [](Placed const& one) { return std::pair{one.order, one.finding.at}; });
    fold(std::move(placed), result);
    count(result, options);
    return result;
}

CheckResult check_result(std::vector<Finding> read, CheckOptions const& options)
{
    CheckResult result;
    for (Finding& finding : read)
        result.findings.push_back({std::move(finding), 0, ""});
    count(result, options);
    return result;
}

} // namespace tabard::pipeline
