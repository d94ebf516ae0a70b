#include "tests/support/performance/lesson_text.h"

#include <algorithm>
#include <map>
#include <string_view>
#include <vector>

#include <fmt/format.h>

namespace tabard::tests {

namespace {

std::string head(Performance const& played)
{
    std::string strums;
    for (std::size_t part = 0; part < played.strums.size(); ++part)
        if (!played.strums[part].empty())
            strums += fmt::format("{}\"strum {}\": {{\"steps\": \"{}\", \"swing\": {}}}", strums.empty() ? "" : ", ",
                                  part + 1, played.strums[part], played.swing);
    return fmt::format("{{\"tabard\": 1, \"title\": \"Lantern on the Quay\", \"footage\": \"lantern.mp4\", "
                       "\"meter\": \"{}\",\n\"strums\": {{{}}},\n\"sections\": [",
                       played.meter, strums);
}

std::string section(Performance const& played, std::size_t part, std::string_view times)
{
    auto const& chart = played.chart[part];
    return fmt::format("\n{{\"name\": \"Part {}\", {}{}\"strum\": \"{}\", \"bars\": \"{}\"}}", part + 1,
                       chart.tempo_known ? fmt::format("\"tempo\": {:.2f}, ", 60 / chart.beat_seconds) : "", times,
                       played.strums[part].empty() ? "none" : fmt::format("strum {}", part + 1), played.bars[part]);
}

std::string lesson(Performance const& played, std::vector<std::string> const& sections)
{
    std::string text = head(played);
    for (std::size_t n = 0; n < sections.size(); ++n)
        text += (n == 0 ? "" : ",") + sections[n];
    return text + "\n]}\n";
}

/// "3.2": the first beat is 0.
std::string place(Performance const& played, std::size_t part, int beat)
{
    int const bar = played.chart[part].beats_per_bar;
    int const step = played.meter.ends_with("/8") ? 3 : 1; // beats of a compound meter are three of the written ones
    return fmt::format("{}.{}", beat / bar + 1, beat % bar * step + 1);
}

/// Pins of every bar line, and of every place where the playing leaves the chart.
std::string pins_of(Performance const& played, std::size_t part, CueMove const& move, double lead)
{
    PlayedPart const& truth = played.parts[part];
    auto const bar_beats = static_cast<std::size_t>(played.chart[part].beats_per_bar);
    auto const time = [&](std::size_t beat, double seconds) {
        bool const moved = (!move.part || *move.part == part) && beat / bar_beats >= move.first_bar &&
                           beat / bar_beats < move.first_bar + move.bars;
        return fmt::format("{:.3f}", std::max(0.0, seconds - lead + (moved ? move.seconds : 0)));
    };
    std::map<int, std::string> pins; // by beat
    for (std::size_t beat = 0; beat < truth.beats.size(); beat += bar_beats)
        pins[static_cast<int>(beat)] =
            fmt::format("[\"{}\", \"{}\"]", place(played, part, static_cast<int>(beat)), time(beat, truth.beats[beat]));
    for (pipeline::Deviation const& one : truth.deviations) {
        if (one.beat == 0)
            continue; // a false start lies before the part
        auto where = place(played, part, one.beat);
        auto const beat = static_cast<std::size_t>(one.beat);
        auto when = time(beat, one.from);
        if (one.next_beat > one.beat)
            where += " to " + place(played, part, one.next_beat);
        if (one.to > one.from)
            when += " to " + time(beat, one.to);
        pins.erase(pins.lower_bound(one.beat), pins.upper_bound(one.next_beat));
        pins[one.beat] = fmt::format("[\"{}\", \"{}\"]", where, when);
    }
    std::string text;
    for (auto const& [beat, pin] : pins)
        text += (text.empty() ? "" : ", ") + pin;
    return text;
}

} // namespace

std::string rough_lesson(Performance const& played)
{
    std::vector<std::string> sections;
    for (std::size_t part = 0; part < played.chart.size(); ++part) {
        auto const& about = played.chart[part].about;
        sections.push_back(section(played, part, about ? fmt::format("\"from\": {:.1f}, ", *about) : ""));
    }
    return lesson(played, sections);
}

std::string timed_lesson(Performance const& played, CueMove const& move, double lead)
{
    std::vector<std::string> sections;
    for (std::size_t part = 0; part < played.chart.size(); ++part)
        if (played.parts[part].played())
            sections.push_back(
                section(played, part, fmt::format("\"pins\": [{}], ", pins_of(played, part, move, lead))));
    return lesson(played, sections);
}

} // namespace tabard::tests
