#include "tests/support/performance/performance.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace tabard::tests {

std::vector<float> play(Performance const& performance, NoteBank& bank, double cents)
{
    std::vector<float> sound(static_cast<std::size_t>((performance.seconds + 2) * kSampleRate));
    double const speed = std::exp2(cents / 1200);
    constexpr double kDamp = 0.02; // a struck string's old sound dies within this many seconds
    auto const& strikes = performance.strikes;
    for (std::size_t n = 0; n < strikes.size(); ++n) {
        if (strikes[n].level == 0.0F)
            continue;
        double until = strikes[n].seconds + std::min(3.5, strikes[n].rings);
        for (std::size_t later = n + 1; later < strikes.size() && strikes[later].seconds < until; ++later)
            if (strikes[later].string == strikes[n].string)
                until = strikes[later].seconds;
        auto const& note = bank.note(strikes[n].midi);
        double const start = strikes[n].seconds * kSampleRate;
        auto const first = static_cast<std::size_t>(std::ceil(std::max(start, 0.0)));
        for (std::size_t at = first; at < sound.size(); ++at) {
            double const position = (static_cast<double>(at) - start) * speed;
            auto const whole = static_cast<std::size_t>(position);
            double const over = static_cast<double>(at) / kSampleRate - until;
            if (whole + 1 >= note.size() || over > kDamp)
                break;
            float const fraction = static_cast<float>(position - static_cast<double>(whole));
            float const damp = over > 0 ? static_cast<float>(1 - over / kDamp) : 1.0F;
            sound[at] += strikes[n].level * damp * std::lerp(note[whole], note[whole + 1], fraction);
        }
    }
    return sound;
}

} // namespace tabard::tests
