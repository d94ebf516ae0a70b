#pragma once
#include "overlay/base/result.h"
#include "pipeline/time/time.h"

#include <filesystem>
#include <optional>
#include <vector>

namespace tabard::pipeline {

/// One picture may stand for as long as the film.
constexpr Time kLongestStill{24 * 3600 * kFlicksPerSecond};

/// Tells a clock that starts again, as where two recordings were joined byte by byte, from single broken time stamps.
class ClockWatch {
public:
    /// Decoding times may stand a little out of order in the file; a recording that is joined on goes back by its
    /// length.
    static constexpr Time kDisorder{kFlicksPerSecond / 2};

    /// `longest_step`: a longer one forwards is another clock too.
    explicit ClockWatch(Time longest_step) : m_longest_step(longest_step) {}

    /// The next decoding time in file order. False where it cannot be believed (yet).
    bool add(Time time);

    struct Restart {
        Time from{}; ///< the last time of the old clock
        Time to{};   ///< the first of the new one
    };
    /// The first, if several time stamps in a row agree on it.
    std::optional<Restart> restart() const { return m_restart; }

private:
    bool follows(Time before, Time time) const;

    Time m_longest_step;
    std::optional<Time> m_last;
    std::vector<Time> m_doubtful; ///< in a row, none of which follows m_last
    std::optional<Restart> m_restart;
};

/// Why a film with such a clock is refused; `restart` in film time.
Error clock_restarted(ClockWatch::Restart restart, std::filesystem::path const& film);

} // namespace tabard::pipeline
