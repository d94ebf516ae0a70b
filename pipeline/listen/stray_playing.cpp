#include "pipeline/listen/stray_playing.h"

#include <algorithm>

namespace tabard::pipeline {

std::vector<Stretch> stray_playing(Hearing const& heard, std::vector<Stretch> const& parts)
{
    constexpr double kRingOut = 3;  // seconds for which a part's last chord may sound
    constexpr double kShortest = 4; // seconds worth a word
    std::vector<Stretch> stray;
    for (ActivityStretch const& found : find_activity(heard)) {
        if (found.activity != Activity::played)
            continue;
        double from = found.stretch.from;
        for (Stretch const& part : parts) {
            if (part.to + kRingOut < from || part.from > found.stretch.to)
                continue;
            if (part.from - 1 - from >= kShortest)
                stray.push_back({from, part.from});
            from = std::max(from, part.to + kRingOut);
        }
        if (found.stretch.to - from >= kShortest)
            stray.push_back({from, found.stretch.to});
    }
    return stray;
}

} // namespace tabard::pipeline
