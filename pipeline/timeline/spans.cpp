#include "pipeline/timeline/spans.h"

#include "pipeline/cues/meter_ticks.h"
#include "pipeline/timeline/lesson_shapes.h"
#include "pipeline/timeline/placement.h"
#include "pipeline/timeline/resting.h"

#include <algorithm>

namespace tabard::pipeline {
namespace {

class Resolver {
public:
    Resolver(Lesson const& lesson, MediaFacts const& facts, Level level)
        : m_lesson(lesson), m_facts(facts), m_level(level), m_shapes(lesson)
    {
    }

    Spans resolve()
    {
        place_sections();
        for (std::size_t i = 0; i < m_spans.sections.size(); ++i) {
            add_played(i);
            m_spans.anchors.push_back(anchor_of(section_of(m_spans.sections[i])));
            add_talk(m_spans.sections[i]);
        }
        sort();
        return std::move(m_spans);
    }

private:
    Section const& section_of(SectionSpan const& span) const
    {
        return m_lesson.sections[static_cast<std::size_t>(span.section)];
    }

    void place_sections()
    {
        for (std::size_t i = 0; i < m_lesson.sections.size(); ++i) {
            Section const& section = m_lesson.sections[i];
            SectionSpan span;
            span.name = *section.name;
            span.section = static_cast<int>(i);
            span.at = section.at;
            span.map = tempo_map(section);
            span.corner = corner_of(m_lesson, section);
            BarPosition const first = section.piece ? section.piece->from_bar : BarPosition{};
            if (section.from)
                span.in = **section.from;
            else if (span.map)
                span.in = shown_at(*span.map, first.offset(*section.meter));
            else if (!section.pins.empty())
                span.in = section.pins.front().time;
            m_spans.sections.push_back(std::move(span));
        }
        std::ranges::stable_sort(m_spans.sections, {}, &SectionSpan::in);
        for (std::size_t i = 0; i < m_spans.sections.size(); ++i)
            end_section(i);
    }

    void end_section(std::size_t index)
    {
        SectionSpan& span = m_spans.sections[index];
        Section const& section = section_of(span);
        bool const last = index + 1 == m_spans.sections.size();
        Time const next = last ? m_facts.duration : m_spans.sections[index + 1].in;
        span.bars_in = span.bars_out = span.in;
        std::optional<Time> bars_end;
        if (span.map)
            bars_end = span.map->end_at(section.bars->value.bars() * bar_ticks(*section.meter));
        span.out = std::max(span.in, section.to ? **section.to : bars_end.value_or(next));
        if (!span.map)
            return;
        BarPosition const first = section.piece ? section.piece->from_bar : BarPosition{};
        span.bars_in = std::clamp(shown_at(*span.map, first.offset(*section.meter)), span.in, span.out);
        span.bars_out = std::clamp(*bars_end, span.bars_in, span.out);
    }

    void add_played(std::size_t index)
    {
        SectionSpan const& span = m_spans.sections[index];
        Section const& section = section_of(span);
        if (span.bars_in == span.bars_out)
            return;
        std::size_t const first = m_spans.played.size();
        std::int64_t offset = 0;
        for (int bar = 1; bar <= section.bars->value.bars(); ++bar) {
            for (ChartChord const& chord : section.bars->value.bar(bar).chords) {
                std::int64_t const end = offset + chord.beats * kTicksPerBeat;
                add_chord(index, chord, bar, offset, end, first);
                offset = end;
            }
        }
        if (section.strum)
            m_spans.strums.push_back(
                {span.bars_in, span.bars_out, **section.strum, span.section, true, section.strum->at});
    }

    /// A chord that goes on from the one before it makes that one longer.
    void add_chord(std::size_t index, ChartChord const& chord, int bar, std::int64_t from, std::int64_t to,
                   std::size_t first)
    {
        SectionSpan const& span = m_spans.sections[index];
        Time const in = std::max(shown_at(*span.map, from), span.bars_in);
        Time const out = std::min(shown_at(*span.map, to), span.bars_out);
        if (out <= in)
            return;
        auto const beats = static_cast<int>((span.map->played_ticks(from, to) + kTicksPerBeat - 1) / kTicksPerBeat);
        if (m_spans.played.size() > first) {
            ChordSpan& before = m_spans.chords[m_spans.played.back().chord];
            if (before.name == chord.name) {
                before.out = out;
                before.beats += beats;
                m_spans.played.back().to = to;
                return;
            }
        }
        m_spans.played.push_back({m_spans.chords.size(), index, from, to});
        m_spans.chords.push_back({in, out, chord.name, m_shapes.at(chord.name, m_level), std::nullopt, span.section,
                                  true, bar, beats, chord.at});
    }

    /// Of the whole chart, whatever a cut has left of it. None where the shape of a chord is not known; a bar without a
    /// chord is a rest for the hand.
    std::vector<overlay::Hold> anchor_of(Section const& section)
    {
        std::vector<overlay::Shape> shapes;
        if (!section.bars)
            return {};
        for (WrittenBar const& bar : section.bars->value.written) {
            for (ChartChord const& chord : bar.chords) {
                auto const shape = m_shapes.at(chord.name, m_level);
                if (shape)
                    shapes.push_back(*shape);
                else if (!chord.name.empty())
                    return {};
            }
        }
        return overlay::anchor_of(shapes);
    }

    /// Until the next cue of its kind, the first bar that is played after it (a pause may lie before that), or the end
    /// of the section.
    Time end_of(SectionSpan const& span, std::vector<ShowCue> const& cues, std::size_t index,
                std::string ShowCue::*kind) const
    {
        ShowCue const& cue = cues[index];
        if (cue.to)
            return **cue.to;
        bool const is_played = kind != &ShowCue::text && span.bars_in < span.bars_out;
        auto const rest = is_played ? rest_at(*span.map, *cue.from) : std::nullopt;
        for (std::size_t next = index + 1; next < cues.size(); ++next)
            if (!(cues[next].*kind).empty())
                return rest ? std::min(*cues[next].from, rest->to) : *cues[next].from;
        bool const bars_follow = is_played && *cue.from < span.bars_in;
        return std::max(*cue.from, rest ? std::min(rest->to, span.out) : bars_follow ? span.bars_in : span.out);
    }

    void add_talk(SectionSpan const& span)
    {
        Section const& section = section_of(span);
        if (section.text && !section.text->value.empty())
            m_spans.texts.push_back({span.in, span.out, **section.text, span.section, section.text->at});
        for (std::size_t i = 0; i < section.show.size(); ++i) {
            ShowCue const& cue = section.show[i];
            Time const in = *cue.from;
            if (!cue.chord.empty())
                m_spans.chords.push_back({in, end_of(span, section.show, i, &ShowCue::chord), cue.chord,
                                          m_shapes.at(cue.chord, cue.level.value_or(m_level)), cue.level, span.section,
                                          false, 0, 0, cue.at});
            else if (!cue.strum.empty())
                m_spans.strums.push_back(
                    {in, end_of(span, section.show, i, &ShowCue::strum), cue.strum, span.section, false, cue.at});
            else
                m_spans.texts.push_back(
                    {in, end_of(span, section.show, i, &ShowCue::text), cue.text, span.section, cue.at});
        }
    }

    void sort()
    {
        std::vector<std::size_t> order(m_spans.chords.size());
        for (std::size_t i = 0; i < order.size(); ++i)
            order[i] = i;
        std::ranges::stable_sort(order, {}, [&](std::size_t i) { return m_spans.chords[i].in; });
        std::vector<std::size_t> place(order.size());
        std::vector<ChordSpan> chords;
        for (std::size_t i = 0; i < order.size(); ++i) {
            place[order[i]] = i;
            chords.push_back(std::move(m_spans.chords[order[i]]));
        }
        m_spans.chords = std::move(chords);
        for (PlayedChord& played : m_spans.played)
            played.chord = place[played.chord];
        std::ranges::stable_sort(m_spans.strums, {}, &StrumSpan::in);
        std::ranges::stable_sort(m_spans.texts, {}, &TextSpan::in);
    }

    Lesson const& m_lesson;
    MediaFacts const& m_facts;
    Level m_level;
    LessonShapes m_shapes;
    Spans m_spans;
};

} // namespace

Spans resolve_spans(Lesson const& lesson, MediaFacts const& facts, Level level)
{
    return Resolver(lesson, facts, level).resolve();
}

} // namespace tabard::pipeline
