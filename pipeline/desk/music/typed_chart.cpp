#include "pipeline/desk/music/typed_chart.h"

#include "overlay/music/names/chord_name.h"
#include "pipeline/check/rules/rules.h"
#include "pipeline/cues/chart_text.h"
#include "pipeline/timeline/lesson_shapes.h"

#include <algorithm>
#include <map>
#include <optional>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// Columns are bytes of the typed text, from 1.
std::vector<SourcePosition> places_of(std::size_t begin, std::size_t end)
{
    std::vector<SourcePosition> places;
    for (std::size_t at = begin; at <= end; ++at)
        places.push_back({1, static_cast<int>(at) + 1});
    return places;
}

std::size_t byte_of(SourcePosition place) { return static_cast<std::size_t>(std::max(place.column, 1)) - 1; }

/// The lines as one text, each byte with its place in what was typed.
ChartText joined(std::string_view text)
{
    ChartText chart;
    std::size_t begin = 0;
    while (begin <= text.size()) {
        std::size_t const end = std::min(text.find('\n', begin), text.size());
        if (text.substr(begin, end - begin).find_first_not_of(" \t\r") != std::string_view::npos)
            chart.append_line(text.substr(begin, end - begin), places_of(begin, end));
        begin = end + 1;
    }
    chart.places.push_back({1, static_cast<int>(text.size()) + 1});
    return chart;
}

/// Bytes of the word that begins at `at`; of the sign where a bar line stands there.
std::size_t word_length(std::string_view text, std::size_t at)
{
    for (std::string_view const sign : {"||:", "|:", ":|:", ":|", "||", "|"})
        if (text.substr(at).starts_with(sign))
            return sign.size();
    std::size_t end = at;
    while (end < text.size() && chart_space(text.substr(end)) == 0 && text[end] != '|' && text.substr(end, 2) != ":|")
        ++end;
    return end - at;
}

/// Bytes of what a bar holds from `at` on.
std::size_t bar_length(std::string_view text, std::size_t at)
{
    std::size_t end = at;
    for (std::size_t next = at; next < text.size() && text[next] != '|' && text[next] != '\n';) {
        if (text.substr(next, 2) == ":|")
            break;
        std::size_t const space = chart_space(text.substr(next));
        next += std::max<std::size_t>(space, 1);
        end = space == 0 ? next : end;
    }
    return end - at;
}

class NameJudge {
public:
    explicit NameJudge(Lesson const& lesson) : m_lesson(without_parts(lesson)), m_shapes(m_lesson) {}

    /// What is to be said of a chord's name; none where all is well.
    std::optional<ChartMistake> judge(std::string const& name)
    {
        auto const [known, is_new] = m_known.try_emplace(name);
        if (is_new && !name.empty() && !m_lesson.find_shape(name))
            known->second = look_at(name);
        return known->second;
    }

private:
    /// Without parts no chart has a say in the shapes: whether there is any is all that is asked.
    static Lesson without_parts(Lesson lesson)
    {
        lesson.sections.clear();
        return lesson;
    }

    std::optional<ChartMistake> look_at(std::string const& name)
    {
        auto const chord = m_lesson.chord(name);
        if (!chord)
            return ChartMistake{0, 0, kUnknownChord.severity, chord.error().what,
                                "correct the name, or give it a shape"};
        if (!chord->no_chord && !m_shapes.at(name, Level::full))
            return ChartMistake{0, 0, kNoShape.severity,
                                fmt::format("no shape for '{}' was found on this instrument", name), "give it one"};
        return std::nullopt;
    }

    Lesson m_lesson;
    LessonShapes m_shapes;
    std::map<std::string, std::optional<ChartMistake>> m_known;
};

/// A message "what; fix" is divided.
void divide(ChartMistake& mistake)
{
    if (auto const advice = mistake.what.find("; "); advice != std::string::npos) {
        mistake.fix = mistake.what.substr(advice + 2);
        mistake.what.resize(advice);
    }
}

} // namespace

TypedChart typed_chart(std::string_view text, overlay::Meter meter, Lesson const& lesson)
{
    ChartText const whole = joined(text);
    auto reading = parse_chart(
        whole.text, meter, whole.places, [&](std::string_view name) { return lesson.find_shape(name) != nullptr; },
        *lesson.names);
    TypedChart result;
    std::vector<std::size_t> refused; // where the reader already says that a word is none
    for (Finding& finding : reading.findings) {
        std::size_t const at = std::min(byte_of(finding.at), text.size());
        std::size_t const length = finding.code == "beats-in-bar" ? bar_length(text, at) : word_length(text, at);
        if (finding.code != "beats-in-bar")
            refused.push_back(at);
        result.mistakes.push_back({at, length, finding.severity, std::move(finding.what), std::move(finding.fix)});
    }
    NameJudge names(lesson);
    for (WrittenBar const& bar : reading.chart.written)
        for (ChartChord const& chord : bar.chords) {
            std::size_t const at = std::min(byte_of(chord.at), text.size());
            bool const said = std::ranges::find(refused, at) != refused.end();
            auto mistake = chord.held || bar.simile || said ? std::nullopt : names.judge(chord.name);
            if (!mistake)
                continue;
            mistake->at = at;
            mistake->length = std::min(chord.name.size(), text.size() - at);
            divide(*mistake);
            result.mistakes.push_back(*std::move(mistake));
        }
    std::ranges::stable_sort(result.mistakes, {}, &ChartMistake::at);
    result.chart = std::move(reading.chart);
    return result;
}

std::size_t utf16_units(std::string_view text)
{
    std::size_t units = 0;
    for (char const c : text) {
        auto const byte = static_cast<unsigned char>(c);
        units += (byte & 0xC0U) == 0x80 ? 0 : byte >= 0xF0 ? 2 : 1; // what begins with F0 is beyond U+FFFF
    }
    return units;
}

} // namespace tabard::pipeline
