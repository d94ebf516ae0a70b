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

} // namespace

std::optional<std::string> likely_steps(std::string_view written)
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
    if (!overlay::StrumPattern::parse(steps))
        return std::nullopt;
    return steps;
}

} // namespace tabard::pipeline
