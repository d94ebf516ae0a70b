#pragma once
#include "overlay/base/result.h"

#include <algorithm>
#include <compare>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::overlay {

/// The open strings of an instrument as MIDI numbers (69 = A4 = 440 Hz, ISO 16), in drawing order: for a guitar the
/// lowest first. Re-entrant and short strings stand where the instrument has them, so the order need not rise.
struct Tuning {
    std::vector<int> open_strings{40, 45, 50, 55, 59, 64};
    /// The fret at which each string begins: 5 for the short string of a banjo. Empty: all begin at the nut.
    std::vector<int> begins_at{};
    friend auto operator<=>(Tuning const&, Tuning const&) = default;

    /// Reads note names with octave, low string first: "E2 A2 D3 G3 B3 E4", signs # b and Unicode; or a name that
    /// guitarists use: "standard", "drop D", "DADGAD", "open G". Fails with invalid_input and names the note that is
    /// wrong.
    static Result<Tuning> parse(std::string_view notes);
    int strings() const { return static_cast<int>(open_strings.size()); }
    /// The MIDI number of a string held at a fret counted from the capo (a short string's capo sits as far from its own
    /// beginning). None for a fret that the string does not have.
    std::optional<int> pitch(std::size_t string, int fret, int capo = 0) const;
    /// Whether each string sounds higher than the one before. If not, the first string need not be the bass.
    bool rises() const { return std::ranges::is_sorted(open_strings); }
};

} // namespace tabard::overlay
