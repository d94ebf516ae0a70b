#include "pipeline/cues/likely_steps.h"

#include "overlay/music/patterns/strum_pattern.h"

#include <algorithm>
#include <array>
#include <utility>

namespace tabard::pipeline {
namespace {

constexpr std::array<std::pair<std::string_view, char>, 14> kStrokes{{{"down", 'D'},
                                                                      {"Down", 'D'},
                                                                      {"DOWN", 'D'},
                                                                      {"up", 'U'},
                                                                      {"Up", 'U'},
                                                                      {"UP", 'U'},
                                                                      {"\u2193", 'D'},
                                                                      {"\u2191", 'U'},
                                                                      {"D", 'D'},
                                                                      {"U", 'U'},
                                                                      {"d", 'D'},
                                                                      {"u", 'U'},
                                                                      {"-", '-'},
                                                                      {"_", '-'}}};

/// "D D U U D U" as "D - D U - U D U": down on beats, up between them.
std::string with_passes(std::string_view steps)
{
    std::string out;
    std::size_t count = 0;
    auto const add = [&](std::string_view step) {
        out += (out.empty() ? "" : " ") + std::string(step);
        ++count;
    };
    for (std::size_t at = 0; at < steps.size();) {
        std::size_t const end = std::min(steps.find(' ', at), steps.size());
        bool const wrong_half = steps[at] == (count % 2 == 0 ? 'U' : 'D');
        if (wrong_half)
            add("-");
        add(steps.substr(at, end - at));
        at = end + 1;
    }
    if (count % 2 == 1)
        add("-");
    return out;
}

std::optional<std::string> if_it_fits(std::string steps, overlay::Meter meter)
{
    auto const pattern = overlay::StrumPattern::parse(steps);
    bool const fits = pattern && steps_fit(static_cast<int>(pattern->steps.size()), meter);
    return fits ? std::optional(std::move(steps)) : std::nullopt;
}

} // namespace

std::optional<std::string> likely_steps(std::string_view written, overlay::Meter meter)
{
    constexpr std::size_t kLongest = 200;
    std::string steps;
    for (std::string_view rest = written.substr(0, kLongest); !rest.empty();) {
        auto const stroke = std::ranges::find_if(kStrokes, [&](auto const& s) { return rest.starts_with(s.first); });
        bool const found = stroke != kStrokes.end();
        if (found)
            steps += steps.empty() ? std::string{stroke->second} : std::string{' ', stroke->second};
        else if (rest[0] != ' ' && rest[0] != ',' && rest[0] != '|')
            steps += rest[0]; // x, > or a finger belongs to the stroke before it
        rest.remove_prefix(found ? stroke->first.size() : 1);
    }
    if (auto plain = if_it_fits(steps, meter))
        return plain;
    return steps.find('-') == std::string::npos ? if_it_fits(with_passes(steps), meter) : std::nullopt;
}

} // namespace tabard::pipeline
