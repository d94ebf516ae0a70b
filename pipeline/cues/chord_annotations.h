#pragma once
#include "overlay/base/result.h"
#include "pipeline/cues/source_position.h"
#include "pipeline/time/edit_map.h"

#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// A chord over [from, to), to the millisecond.
struct AnnotatedChord {
    Time from{0};
    Time to{0};
    std::string chord; ///< a chord name, or "N.C."
    SourcePosition at; ///< the line that begins it
    friend bool operator==(AnnotatedChord const& a, AnnotatedChord const& b)
    {
        return a.from == b.from && a.to == b.to && a.chord == b.chord;
    }
};

/// What is said about a line of a file that was read.
struct AnnotationRemark {
    SourcePosition at;
    std::string what;
    friend bool operator==(AnnotationRemark const&, AnnotationRemark const&) = default;
};

struct ChordAnnotations {
    std::vector<AnnotatedChord> chords;    ///< at least one; rising, without overlap; equal neighbours are one
    std::vector<AnnotationRemark> remarks; ///< what is not as the file has it
};

/// Why a file of annotations cannot be read, and the places.
struct AnnotationErrors {
    std::vector<AnnotationRemark> errors; ///< at least one, in order of lines
};

/// Reads published chord annotations: "start end label" a line, times in seconds, between blanks, tabs, commas or
/// semicolons; labels as parse_chord_annotation() reads them. Empty lines, comments (#, %, // or ; first) and a heading
/// do not count; decimal commas and minutes ("1:02.5") are read. N is "N.C." between chords; before and after them, and
/// for X, there is nothing. Left out with a remark: a label that is none, a line that lasts less than a millisecond.
/// With a remark too: the nearest name for a chord that has none, X, lines out of order, gaps and overlaps (of 10 ms
/// and more). Chords are kept in `film`; those that begin after it are left out with a remark. Fails where a line has
/// not three columns or its times cannot be used, and where no chord is left.
tl::expected<ChordAnnotations, AnnotationErrors> parse_chord_annotations(std::string_view bytes, Interval film,
                                                                         Time shortest = Time{0});

/// Largest file of annotations that is read, in bytes.
constexpr std::size_t kMostAnnotationBytes = 4 << 20;

} // namespace tabard::pipeline
