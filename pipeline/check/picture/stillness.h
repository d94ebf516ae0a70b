#pragma once
#include "pipeline/check/picture/grid.h"
#include "pipeline/time/time.h"

#include <optional>
#include <vector>

namespace tabard::pipeline {

/// [in, out) of the film.
struct FilmSpan {
    Time in{0};
    Time out{0};
    friend bool operator==(FilmSpan const&, FilmSpan const&) = default;
};

/// Black: for half a second and more no cell is lighter than a black that a little noise has lifted (code 28 where
/// black is 16). Frozen: for two seconds and more no cell's mean moves by one and a half codes. (Our own thresholds: no
/// published source.)
class StillnessMeter {
public:
    explicit StillnessMeter(Range range) : m_black_code(range == Range::full ? 14.0F : 28.0F) {}
    void add(Time time, Grid const& picture);
    void finish(); ///< nothing more is added

    std::vector<FilmSpan> const& black() const { return m_black; }
    std::vector<FilmSpan> const& frozen() const { return m_frozen; }

private:
    struct Run {
        std::optional<Time> since;
        Time last{0};
        void go_on(Time time);
        void end(Time least, std::vector<FilmSpan>& spans);
    };
    float m_black_code;
    Run m_black_run;
    Run m_still_run;
    Grid m_still{};
    std::vector<FilmSpan> m_black;
    std::vector<FilmSpan> m_frozen;
};

} // namespace tabard::pipeline
