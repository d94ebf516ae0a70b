#include "pipeline/check/rules/rules.h"
#include "pipeline/check/rules/text_in_words.h"
#include "pipeline/time/timecode.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr Time kStartTolerance = from_ticks(1, 1, 10);

class Finder {
public:
    explicit Finder(CheckInput const& input) : m_input(input), m_film(input.film->media) {}

    std::vector<Finding> find()
    {
        for (SectionSpan const& span : m_input.timeline.sections()) {
            Section const& section = m_input.lesson.sections[static_cast<std::size_t>(span.section)];
            // Without an end of its own a section cannot lie outside by its end.
            bool const ends = section.to || span.bars_out > span.bars_in;
            look(span.in, ends ? span.out : span.in, section.at, fmt::format("part '{}'", span.name));
        }
        for (ChordSpan const& span : m_input.timeline.chords())
            if (!span.played)
                look(span.in, span.out, span.at, fmt::format("chord '{}'", span.name));
        for (StrumSpan const& span : m_input.timeline.strums())
            if (!span.played)
                look(span.in, span.out, span.at, fmt::format("strum '{}'", span.name));
        for (TextSpan const& span : m_input.timeline.texts())
            look(span.in, span.out, span.at, fmt::format("text '{}'", text_in_words(span.text)));
        return std::move(m_findings);
    }

private:
    void look(Time in, Time out, SourcePosition at, std::string const& what)
    {
        if (in < m_film.first_picture - kStartTolerance)
            m_findings.push_back(
                kOutsideFilm.at(at, in,
                                fmt::format("{} begins before the film's first frame, which comes at {}", what,
                                            print_time(m_film.first_picture)),
                                "begin it later"));
        else if (in >= m_film.duration)
            m_findings.push_back(kOutsideFilm.at(
                at, in, fmt::format("{} begins after the film's end at {}", what, print_time(m_film.duration)),
                "take it out, or check which film the cues are for"));
        else if (out > m_film.duration + kTouching)
            m_findings.push_back(kOutsideFilm.at(at, in,
                                                 fmt::format("{} lasts until {}, and the film ends at {}", what,
                                                             print_time(out), print_time(m_film.duration)),
                                                 "let it end with the film"));
    }

    CheckInput const& m_input;
    MediaFacts const& m_film;
    std::vector<Finding> m_findings;
};

std::vector<Finding> find(CheckInput const& input)
{
    return input.film ? Finder(input).find() : std::vector<Finding>{};
}

} // namespace

Rule const kOutsideFilm{
    "outside-film", Severity::error, "a cue or a part outside the footage",
    "What begins before the first frame or after the last one is never seen, and what lasts longer "
    "than the film is mostly made for another cut of it. Bars that are played count with their part.",
    find};

} // namespace tabard::pipeline
