#pragma once
#include "overlay/base/result.h"
#include "overlay/music/hand/hand.h"
#include "overlay/music/instrument.h"
#include "overlay/music/names/chord_name.h"
#include "overlay/music/shapes/chord_naming.h"
#include "overlay/music/shapes/shape.h"
#include "overlay/music/shapes/shape_verdict.h"

#include <optional>
#include <string>
#include <vector>

// What `tabard chord` has to say, and how it is written.
namespace tabard::cli {

/// What the report is about: the instrument, its capo, and how to draw.
struct ChordSetting {
    overlay::Instrument instrument;
    int capo = 0;
    std::optional<overlay::Key> key; ///< of the shapes
    bool left_handed = false;
    overlay::NoteNames names = overlay::NoteNames::english;
};

struct ShapeReport {
    overlay::Shape shape;
    std::string reason; ///< of the search; empty for a shape that the user gave
    overlay::ShapeVerdict verdict;
    overlay::HandVerdict hand;
};

struct ChordReport {
    overlay::ChordName chord;
    std::vector<ShapeReport> shapes;
    std::vector<overlay::ShapeName> names; ///< for a shape that the user gave, unless it bears the name given with it
    /// False where a given shape cannot bear the name that the user gave with it, or no hand can hold it.
    bool fits = true;
};

/// A name that is no chord, or a chord of a file that cannot be read. It stops no other.
struct RefusedName {
    std::string name;
    Error error;
};

ChordReport search_report(overlay::ChordName const& chord, ChordSetting const& setting, std::size_t most);
/// Judges `shape`; without `chord` under its likeliest name. Fails with invalid_input if the shape has another number
/// of strings than the instrument, or no name fits and none is given.
Result<ChordReport> shape_report(overlay::Shape const& shape, std::optional<overlay::ChordName> const& chord,
                                 ChordSetting const& setting);

/// Diagrams side by side for a terminal.
std::string report_text(ChordReport const& report, ChordSetting const& setting);
/// From each chord's first shape to the next: which fingers stay, and what holds through all of them. Empty for one
/// chord.
std::string moves_report(std::vector<ChordReport> const& reports, ChordSetting const& setting);
/// Where the capo makes the chords of a song easy, best first; `sounding` is their key.
std::string capo_report(std::vector<overlay::ChordName> const& song, overlay::Key sounding,
                        ChordSetting const& setting);
/// {"version": 1, "instrument": ..., "chords": [...]}, and "refused" where there are names that could not be read.
std::string report_json(std::vector<ChordReport> const& reports, std::vector<RefusedName> const& refused,
                        ChordSetting const& setting);

} // namespace tabard::cli
