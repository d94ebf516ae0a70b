#include "pipeline/check/rules/rules.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

bool blank(std::string const& text) { return text.find_first_not_of(" \t\r\n") == std::string::npos; }

// The reader, which leaves out cues that show nothing, reports those.
std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    if (input.broken) // what is missing is empty as well
        return findings;
    auto const add = [&](SourcePosition at, std::optional<Time> time, std::string what, std::string fix) {
        findings.push_back(kEmptyText.at(at, time, std::move(what), std::move(fix)));
    };
    Lesson const& lesson = input.lesson;
    if (blank(*lesson.title))
        add(lesson.title.at, std::nullopt, "the title of the lesson is empty", "name the lesson");
    for (SectionSpan const& span : input.timeline.sections()) {
        Section const& section = lesson.sections[static_cast<std::size_t>(span.section)];
        if (blank(*section.name))
            add(section.name.at, span.in, "the part has no name: the film shows no title for it",
                "name it, as in \"Verse\"");
        if (section.text && blank(**section.text))
            add(section.text->at, span.in, fmt::format("the text of '{}' is empty", *section.name),
                "write the text, or take it out");
    }
    return findings;
}

} // namespace

Rule const kEmptyText{
    "empty-text", Severity::warning, "a name or a text that is empty",
    "A title, the name of a part or a text to show without a letter in it: nothing is shown for it, and "
    "chapters and sheet have no word for it. Write it, or take it out; a part that is to have no title "
    "on the film accepts this code.",
    find};

} // namespace tabard::pipeline
