#pragma once
#include "overlay/base/result.h"

#include <compare>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::overlay {

/// The open strings of an instrument as MIDI numbers (69 = A4 = 440 Hz, ISO 16), in drawing order: for a guitar the
/// lowest first. Re-entrant and short strings stand where the instrument has them, so the order need not rise.
struct Tuning {
    std::vector<int> open_strings{40, 45, 50, 55, 59, 64};
    friend auto operator<=>(Tuning const&, Tuning const&) = default;

    /// Reads note names with octave, low string first: "E2 A2 D3 G3 B3 E4", signs # b and Unicode.
    /// Fails with invalid_input and names the note that is wrong.
    static Result<Tuning> parse(std::string_view notes);
    int strings() const { return static_cast<int>(open_strings.size()); }
};

} // namespace tabard::overlay
