#pragma once
#include "overlay/base/result.h"
#include "overlay/music/tuning.h"

#include <compare>
#include <string>
#include <string_view>

namespace tabard::overlay {

/// A fretted instrument: how it is tuned unless a lesson says otherwise, and how far its frets lie apart.
struct Instrument {
    std::string name = "guitar";
    Tuning tuning;
    /// Length of the sounding open string in millimetres. Makers differ by a few per cent; these are usual values
    /// (common practice, no published source).
    double scale_mm = 648;
    friend auto operator<=>(Instrument const&, Instrument const&) = default;

    /// "guitar", "short-scale guitar", "12-string guitar", "7-string guitar", "baritone guitar", "bass", "ukulele",
    /// "mandolin", "banjo". Fails with invalid_input, listing them.
    static Result<Instrument> named(std::string_view name);
    /// The same instrument in another tuning. A banjo keeps its short string where there are five. Fails with
    /// invalid_input as Tuning::parse does, or where the number of strings is another.
    Result<Instrument> tuned(std::string_view tuning) const;
};

} // namespace tabard::overlay
