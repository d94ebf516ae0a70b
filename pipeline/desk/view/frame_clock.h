#pragma once
#include "pipeline/timeline/media_facts.h"

#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

namespace tabard::pipeline {

/// When the frames of a film begin. Frames have numbers from 0.
class FrameClock {
public:
    /// At the nominal rate.
    explicit FrameClock(MediaFacts facts);
    /// At the times that were read of the film, rising; one at least. The last frame stays until `end`.
    FrameClock(std::shared_ptr<std::vector<Time> const> times, Time end);

    /// Of the number count() it is the end of the film.
    Time time_of(std::int64_t frame) const;
    /// None where the film's length is not known.
    std::optional<std::int64_t> count() const;
    /// The frame on screen at a time that may have been rounded to the millisecond (kOnScreenSlack).
    std::int64_t on_screen_at(Time time) const;
    /// The frame that begins next to `time`.
    std::int64_t nearest(Time time) const;

private:
    MediaFacts m_facts;
    std::shared_ptr<std::vector<Time> const> m_times; ///< null: nominal
    Time m_end{0};                                    ///< of m_times
};

/// The time of a frame in as few decimals, from milliseconds on, as name it: at that time this frame is on screen, and
/// an overlay that begins then is on it and not on the frame before. Of count() the end of the film.
Time plain_time_of(FrameClock const& frames, std::int64_t frame);

} // namespace tabard::pipeline
