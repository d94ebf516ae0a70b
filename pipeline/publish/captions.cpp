#include "pipeline/publish/captions.h"

#include "pipeline/publish/caption_files.h"
#include "pipeline/publish/lesson_words.h"
#include "pipeline/timeline/resting.h"

#include <algorithm>
#include <set>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr Time kLongEnough{kFlicksPerSecond * 3 / 2}; ///< for the name of a part or a pattern to be read

/// A line of text over a span.
struct Line {
    Time in;
    Time out;
    std::string text;
};

/// Spans of all that is said, and the instants at which any of it changes.
class ScreenLines {
public:
    ScreenLines(Lesson const& lesson, Timeline const& timeline)
    {
        for (auto const& chord : timeline.chords())
            m_bounds.insert({chord.in, chord.out});
        for (auto const& text : timeline.texts())
            m_bounds.insert({text.in, text.out});
        for (auto const& section : timeline.sections())
            m_bounds.insert({section.in, section.out});
        for (auto const& section : timeline.sections())
            add_until_read(section.in, section.out, section.name);
        for (auto const& text : timeline.texts())
            m_lines.push_back({text.in, text.out, text.text});
        for (auto const& strum : timeline.strums())
            if (auto const* const entry = lesson.find_strum(strum.name))
                add_until_read(strum.in, strum.out,
                               fmt::format("Strum \u201C{}\u201D: {}", strum.name, strum_words(entry->pattern)));
        auto const taken = taken_in_rests(timeline.sections(), timeline.chords());
        for (auto const& chord : timeline.chords()) {
            std::string const words = chord.name.empty() ? "No chord" : "Chord " + pretty_name(lesson, chord.name);
            for (Interval const seen : without({chord.in, chord.out}, chord.played ? taken : std::vector<Interval>{})) {
                m_bounds.insert({seen.from, seen.to});
                m_lines.push_back({seen.from, seen.to, words});
            }
        }
    }

    std::vector<Caption> captions() const
    {
        std::vector<Caption> captions;
        for (auto it = m_bounds.begin(); it != m_bounds.end() && std::next(it) != m_bounds.end(); ++it) {
            std::string const text = text_at(*it);
            if (text.empty())
                continue;
            if (!captions.empty() && captions.back().to == *it && captions.back().text == text)
                captions.back().to = *std::next(it);
            else
                captions.push_back({*it, *std::next(it), text});
        }
        return captions;
    }

private:
    /// Shows a line from `in` to the first change after it could be read.
    void add_until_read(Time in, Time out, std::string text)
    {
        auto const change = m_bounds.lower_bound(std::min(in + kLongEnough, out));
        Time const end = change == m_bounds.end() ? out : std::min(*change, out);
        m_bounds.insert({in, end});
        m_lines.push_back({in, end, std::move(text)});
    }
    std::string text_at(Time time) const
    {
        std::string text;
        for (auto const& line : m_lines)
            if (line.in <= time && time < line.out)
                if (auto const escaped = cue_text(line.text); !escaped.empty())
                    text += (text.empty() ? "" : "\n") + escaped;
        return text;
    }

    std::set<Time> m_bounds;
    std::vector<Line> m_lines; ///< in the order in which they stand in a caption
};

/// `caption` without the time that any of `blockers` covers; pieces too short to be read are left out.
std::vector<Caption> parts_outside(Caption const& caption, std::vector<Caption> const& blockers)
{
    std::vector<Caption> parts;
    Time free_from = caption.from;
    auto const add_until = [&](Time to) {
        if (to - free_from >= std::min(kShortestCaption, caption.to - caption.from)) {
            parts.push_back(caption);
            parts.back().from = free_from;
            parts.back().to = to;
        }
    };
    for (auto const& blocker : blockers) { // in order of time
        if (blocker.to <= free_from || blocker.from >= caption.to)
            continue;
        add_until(blocker.from);
        free_from = std::max(free_from, blocker.to);
    }
    if (free_from < caption.to)
        add_until(caption.to);
    return parts;
}

} // namespace

std::string strum_words(overlay::StrumPattern const& pattern)
{
    using Hand = overlay::StrumStep::Motion;
    std::string words;
    for (auto const& step : pattern.steps) {
        std::string word = step.motion == Hand::rest ? "pass" : step.motion == Hand::up ? "up" : "down";
        if (step.motion == Hand::pluck) {
            word.clear();
            for (auto const& pluck : step.plucks)
                word +=
                    (word.empty() ? "" : "+") + (pluck.string > 0 ? fmt::format("string {}", pluck.string) : "bass");
        }
        if (step.muted)
            word = "tap";
        words += (words.empty() ? "" : ", ") + word;
    }
    return words;
}

std::vector<Caption> captions_of(Lesson const& lesson, Timeline const& timeline)
{
    auto captions = ScreenLines{lesson, timeline}.captions();
    std::erase_if(captions, [](Caption const& caption) { return caption.to - caption.from < kShortestCaption; });
    return captions;
}

std::vector<Caption> merge_captions(std::vector<Caption> const& speech, std::vector<Caption> const& screen,
                                    MergeStyle style)
{
    std::vector<Caption> blockers = speech;
    if (style == MergeStyle::on_top)
        std::erase_if(blockers, [](auto const& cue) { return cue.settings.find("line:") == std::string::npos; });
    std::vector<Caption> merged = speech;
    for (auto const& caption : screen)
        for (auto& part : parts_outside(caption, blockers)) {
            if (style == MergeStyle::on_top)
                part.settings = "line:0";
            merged.push_back(std::move(part));
        }
    std::ranges::stable_sort(merged, {}, &Caption::from);
    return merged;
}

} // namespace tabard::pipeline
