#pragma once
#include "overlay/base/result.h"
#include "pipeline/time/time.h"

#include <algorithm>
#include <compare>
#include <cstdint>
#include <optional>
#include <vector>

namespace tabard::pipeline {

/// A stretch [from, to) of a film.
struct Interval {
    Time from{0};
    Time to{0};
    friend auto operator<=>(Interval const&, Interval const&) = default;
    constexpr Time length() const { return to - from; }
    constexpr bool empty() const { return to <= from; }
    constexpr bool contains(Time time) const { return from <= time && time < to; }
};

/// The part that two stretches share; empty where they share nothing.
constexpr Interval overlap(Interval a, Interval b) { return {std::max(a.from, b.from), std::min(a.to, b.to)}; }

/// How a kept stretch runs in the new film. A freeze holds one picture.
enum class Motion { forward, reverse, freeze };

/// Seconds of the old film that pass in a second of the new one, reduced. 2/1 is twice as fast, 0/1 a freeze.
struct Speed {
    std::int64_t num = 1;
    std::int64_t den = 1;
    friend constexpr bool operator==(Speed, Speed) = default;
};

/// A stretch of the old film and where the new film shows it. Its speed is the exact fraction of the two lengths.
/// A freeze has an empty `source`: both ends are the time of the picture that is held.
struct KeptSpan {
    Interval source;
    Interval target;
    Motion motion = Motion::forward;
    friend auto operator<=>(KeptSpan const&, KeptSpan const&) = default;

    Speed speed() const;
    /// Where the new film shows `time` of [source.from, source.to], to the nearest flick (exact at speed 1).
    Time forth(Time time) const;
    /// The inverse, for a time of [target.from, target.to].
    Time back(Time time) const;
};

/// What is left of `first` where `second`, made of the film that `first` is part of, shows it; none where it does not.
std::optional<KeptSpan> composed(KeptSpan const& first, KeptSpan const& second);

/// How a film was cut again: which stretches of the old film are kept, and where in the new film they are. What no
/// stretch covers is gone; parts of the new film that no stretch covers are new material. A stretch of the old film may
/// be shown several times. Where all speeds are 1 everything below is exact, else to the nearest flick a step.
class EditMap {
public:
    /// Nothing is kept.
    EditMap() = default;
    /// Sorts the stretches by their place in the new film and joins those that only go on. Fails with invalid_input
    /// where two overlap in the new film, one is empty or runs backwards, or a time is beyond kLatestTime.
    static Result<EditMap> create(std::vector<KeptSpan> spans);
    /// The film as it was, from its start to `duration` > 0.
    static EditMap identity(Time duration);

    /// In the order of the new film.
    std::vector<KeptSpan> const& spans() const { return m_spans; }
    /// End of the last kept stretch in the new film; 0 where nothing is kept.
    Time end() const { return m_spans.empty() ? Time{0} : m_spans.back().target.to; }

    /// Every place where the new film shows the instant `time` of the old one, rising. In a stretch that runs backwards
    /// it is where the picture that began at `time` leaves.
    std::vector<Time> map(Time time) const;
    /// The parts of `stretch` that are left, in the order of the new film. A freeze belongs to the stretch that holds
    /// its picture.
    std::vector<KeptSpan> map(Interval stretch) const;

    /// This cut, and then `later` made of its result.
    EditMap then(EditMap const& later) const;
    /// From the new film back to the old one. Of a stretch that is shown several times the first counts; a freeze
    /// leads nowhere.
    EditMap inverse() const;

    friend bool operator==(EditMap const& a, EditMap const& b) { return a.m_spans == b.m_spans; }

private:
    explicit EditMap(std::vector<KeptSpan> spans);
    struct BySource {
        std::size_t span;
        Time reach; ///< latest end among this and all earlier entries
    };
    std::vector<KeptSpan> m_spans;
    std::vector<BySource> m_by_source; ///< rising source.from
};

/// Times beyond this, about 18 days, are no film's. It keeps all arithmetic within 64 bits.
constexpr Time kLatestTime{std::int64_t{1} << 50};

/// What became of a cue in a new cut. Exactly one of these is true of every cue:
/// moved     whole and in one piece, perhaps elsewhere
/// trimmed   in one piece, a part of it is gone
/// split     in several pieces, whole or not
/// repeated  some part of it is shown more than once
/// lost      nothing is left
enum class Fate { moved, trimmed, split, repeated, lost };

/// `pieces` is EditMap::map(cue). Pieces that touch in the new film count as one.
Fate fate_of(Interval cue, std::vector<KeptSpan> const& pieces);

} // namespace tabard::pipeline
