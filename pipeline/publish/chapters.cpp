#include "pipeline/publish/chapters.h"

#include "overlay/base/utf8.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr Time kShortestChapter{10 * kFlicksPerSecond};
constexpr std::size_t kFewestChapters = 3;

/// White space of any kind and number is one space.
std::string one_line(std::string const& text, std::string const& instead)
{
    std::string line;
    for (char const sign : on_one_line(text)) {
        if (sign != ' ')
            line += sign;
        else if (!line.empty() && line.back() != ' ')
            line += ' ';
    }
    while (!line.empty() && line.back() == ' ')
        line.pop_back();
    return line.empty() ? instead : line;
}

/// Whole seconds, rounded down: a link to a chapter must not begin after it.
std::string clock_time(Time time)
{
    auto const seconds = time.count() / kFlicksPerSecond;
    if (seconds >= 3600)
        return fmt::format("{}:{:02}:{:02}", seconds / 3600, seconds / 60 % 60, seconds % 60);
    return fmt::format("{}:{:02}", seconds / 60, seconds % 60);
}

std::string escaped(std::string const& text)
{
    std::string result;
    for (char const sign : text) {
        if (sign == '=' || sign == ';' || sign == '#' || sign == '\\' || sign == '\n')
            result += '\\';
        result += sign;
    }
    return result;
}

} // namespace

std::vector<Chapter> chapters_of(Lesson const& lesson, Timeline const& timeline)
{
    std::vector<Chapter> chapters;
    Time const end = std::max(timeline.facts().duration, Time{0});
    for (auto const& section : timeline.sections()) {
        Time const from = std::max(section.in, Time{0});
        if (from >= end)
            continue;
        if (!chapters.empty() && chapters.back().from == from)
            chapters.pop_back(); // two at one instant: the later one is what is to be found there
        chapters.push_back({from, end, one_line(section.name, fmt::format("Part {}", section.section + 1))});
    }
    if (chapters.empty() || chapters.front().from > Time{0})
        chapters.insert(chapters.begin(), {Time{0}, end, one_line(*lesson.title, "Start")});
    for (std::size_t i = 0; i + 1 < chapters.size(); ++i)
        chapters[i].to = chapters[i + 1].from;
    return chapters;
}

std::vector<std::string> chapter_warnings(std::vector<Chapter> const& chapters)
{
    std::vector<std::string> warnings;
    if (chapters.size() < kFewestChapters)
        warnings.push_back(
            fmt::format("There {} only {} chapter{}: sites that read chapters from a description "
                        "need at least three. Divide the lesson into more parts, or do not paste the list.",
                        chapters.size() == 1 ? "is" : "are", chapters.size(), chapters.size() == 1 ? "" : "s"));
    for (auto const& chapter : chapters)
        if (chapter.to - chapter.from < kShortestChapter)
            warnings.push_back(fmt::format("The chapter \"{}\" lasts {:.1f} s: sites that read chapters from a "
                                           "description need at least ten seconds for each. Let its part begin earlier "
                                           "or the next one later, or delete its line in chapters.txt.",
                                           chapter.title, to_seconds(chapter.to - chapter.from)));
    return warnings;
}

std::string chapter_list(std::vector<Chapter> const& chapters)
{
    std::string text;
    for (auto const& chapter : chapters)
        text += clock_time(chapter.from) + " " + chapter.title + "\n";
    return text;
}

std::string ffmetadata(std::string const& title, std::vector<Chapter> const& chapters)
{
    std::string text = ";FFMETADATA1\ntitle=" + escaped(one_line(title, "Lesson")) + "\n";
    for (auto const& chapter : chapters)
        text += fmt::format("\n[CHAPTER]\nTIMEBASE=1/1000\nSTART={}\nEND={}\ntitle={}\n",
                            to_ticks(chapter.from, 1, 1000), to_ticks(chapter.to, 1, 1000), escaped(chapter.title));
    return text;
}

} // namespace tabard::pipeline
