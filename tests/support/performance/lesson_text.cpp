#include "tests/support/performance/lesson_text.h"

#include <algorithm>
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

std::string timed_lesson(Performance const& played, double shift, double lead)
{
    std::vector<std::string> sections;
    for (std::size_t part = 0; part < played.chart.size(); ++part) {
        PlayedPart const& truth = played.parts[part];
        if (!truth.played() || !truth.deviations.empty())
            continue;
        auto const bar = static_cast<std::size_t>(played.chart[part].beats_per_bar);
        std::string pins;
        for (std::size_t beat = 0; beat < truth.beats.size(); beat += bar)
            pins += fmt::format("{}[\"{}.1\", \"{:.3f}\"]", pins.empty() ? "" : ", ", beat / bar + 1,
                                std::max(0.0, truth.beats[beat] + shift - lead));
        sections.push_back(section(played, part, fmt::format("\"pins\": [{}], ", pins)));
    }
    return lesson(played, sections);
}

} // namespace tabard::tests
