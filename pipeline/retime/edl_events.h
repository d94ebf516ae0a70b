#pragma once
#include "overlay/base/result.h"
#include "pipeline/retime/cut_file.h"
#include "pipeline/time/time.h"

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// One event line of a CMX 3600 edit list with what the lines after it say of it. Points are frames; out points are the
/// first frame that is no longer shown.
struct EdlEvent {
    enum class Transition { cut, dissolve, wipe, key };
    struct Speed {
        std::int64_t millionths = 0; ///< of frames of the source a second; 0 holds a picture, negative runs backwards
        int line = 0;
    };

    std::string number;
    std::string reel;
    std::string clip; ///< its clip name, where a comment gives one
    std::string file; ///< its source file, where a comment gives one
    bool video = false;
    bool audio = false;
    int upper_track = 0; ///< 2 for V2 and so on
    Transition transition = Transition::cut;
    std::int64_t transition_frames = 0;
    std::int64_t source_in = 0;
    std::int64_t source_out = 0;
    std::int64_t record_in = 0;
    std::int64_t record_out = 0;
    std::optional<Speed> speed;
    bool drop_frame = false; ///< how its record labels count
    int line = 0;

    std::int64_t source_length() const { return source_out - source_in; }
    std::int64_t record_length() const { return record_out - record_in; }
    /// "event 003 (line 12)"
    std::string name() const;
};

struct EdlList {
    std::vector<EdlEvent> events;
    std::vector<std::string> remarks; ///< on lines that are not followed, each a sentence for a person
    std::vector<CutDoubt> doubts;     ///< of how its labels count
};

/// Reads the lines of a list (SMPTE 258M): events, M2, FCM, comments with and without their star. Fails with
/// invalid_input, naming the line, where one cannot be understood or a label does not exist. `drop_frame` says how
/// labels count before the first FCM line.
Result<EdlList> read_edl_events(std::string_view text, FrameRate rate, bool drop_frame);

/// A label or bare frame number of a list; `drop_frame` as its last FCM line says.
Result<std::int64_t> edl_frame(std::string_view label, FrameRate rate, bool drop_frame);

/// Frames from midnight to midnight.
Result<std::int64_t> edl_day(FrameRate rate, bool drop_frame);

} // namespace tabard::pipeline
