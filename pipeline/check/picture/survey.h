#pragma once
#include "overlay/drawing/box.h"
#include "overlay/drawing/stage.h"
#include "overlay/drawing/theme.h"
#include "pipeline/check/picture/flash_meter.h"
#include "pipeline/check/picture/stillness.h"
#include "pipeline/machine/allowance.h"
#include "pipeline/timeline/timeline.h"

#include <filesystem>
#include <functional>
#include <stop_token>

namespace tabard::pipeline {

/// A face that was seen in several pictures, in shares of the displayed picture's width and height.
struct FaceSighting {
    Time time{0};
    overlay::Box box;
};

/// What one second of the film looks like, cell by cell. Seconds that nobody looked at are all zero.
struct SurveySecond {
    std::array<std::uint8_t, kGridCells> motion{}; ///< mean change of luma within a tenth of a second, in 1/8 codes
    std::array<std::uint8_t, kGridCells> light{};  ///< relative luminance 0 to 1 as 0 to 255, of its last keyframe
    bool moving_seen = false;                      ///< `motion` was measured
    bool light_seen = false;
};

/// The lowest contrast that any text of the overlays has in a section, to what is behind it.
struct TextContrast {
    int section = 0; ///< index into Lesson::sections
    Time time{0};
    double ratio = 21; ///< after WCAG 2.x, 1 to 21
    friend bool operator==(TextContrast const&, TextContrast const&) = default;
};

/// Everything that the picture rules ask of the footage. About 5 kB a second.
struct Survey {
    VideoTrack video;
    std::vector<SurveySecond> seconds; ///< of film time, from 0
    std::vector<FaceSighting> faces;   ///< in order of time
    std::vector<FilmSpan> black;
    std::vector<FilmSpan> frozen;
    std::vector<FlashSpan> footage_flashes; ///< in the footage itself
    std::vector<FlashSpan> film_flashes;    ///< that the overlays make
    std::vector<TextContrast> contrasts;    ///< none where the theme is legible over anything
    std::int64_t damaged_pictures = 0;      ///< of those that were decoded: keyframes, or every picture
    std::vector<FilmSpan> windows;          ///< where every picture was looked at
    std::vector<std::string> notes;         ///< what could not be looked at, one sentence each
};

struct SurveyOptions {
    bool every_picture = false; ///< as slow as decoding the film
    Allowance allowance;
    std::function<void(double)> progress; ///< told how much is done, 0 to 1
    std::stop_token stop;
};

/// Looks at the film's keyframes for faces, light, black and frozen pictures, and at every picture of more than a
/// second out of twelve, from keyframes on, for what moves and flashes; also where coded pictures are as large as
/// flashes make them, up to a twentieth of the film. Between keyframes it looks for black and frozen pictures where
/// coded pictures are so small that nothing can change in them. What the overlays do is followed at every change of
/// theirs. `stage` and `theme`: how the overlays will be drawn. Errors: as MediaReader and overlay::Painter.
Result<Survey> survey(std::filesystem::path const& footage, Timeline const& timeline, overlay::Stage const& stage,
                      overlay::Theme const& theme, SurveyOptions const& options = {});

} // namespace tabard::pipeline
