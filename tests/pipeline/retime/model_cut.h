#pragma once
#include "pipeline/time/time.h"

#include <cstdint>
#include <optional>
#include <random>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// A film that was cut again, as an editor counts it: event by event in whole frames, with nothing of the code under
/// test. What a picture of the new film shows is found by counting from the start of its event.
struct ModelCut {
    struct Event {
        enum class Picture { footage, other_film, black, gap };
        Picture picture = Picture::footage;
        std::int64_t in = 0;     ///< first frame of the source that is taken
        std::int64_t frames = 0; ///< that it lasts in the new film
        std::int64_t num = 1;    ///< num / den frames of the source a frame of the new film; 0 holds the picture `in`
        std::int64_t den = 1;
        bool reverse = false;
        std::int64_t dissolve = 0; ///< frames over which it comes in over the event before it
        std::int64_t taken() const { return frames * num / den; }
    };

    FrameRate rate;
    bool drop_frame = false;
    std::vector<Event> events; ///< end to end

    /// Up to 14 events of a film of `length` frames: gaps, repeats, other films, black, six in ten at normal speed.
    static ModelCut random(std::mt19937& random, FrameRate rate, bool drop_frame, std::int64_t length);

    std::int64_t length() const;

    /// Where in the footage the new film is, `later` frames (less than one) after its frame `at` begins; in frames. A
    /// picture that runs backwards is left at its beginning and comes in at its end.
    struct Position {
        double frame = 0;
        bool reverse = false;
        bool is_in(std::int64_t from, std::int64_t to) const;
    };
    std::optional<Position> position(std::int64_t at, double later = 0) const;

    /// As a CMX 3600 list: reels LANTERN and OTHER, the sources counted from `source_start`, the film from hour 1.
    std::string edl(std::int64_t source_start) const;
    /// As OpenTimelineIO.
    std::string otio() const;

    /// SMPTE ST 12-1, minute by minute.
    std::string label(std::int64_t frame) const;
};

} // namespace tabard::pipeline
