#pragma once
#include "overlay/base/result.h"
#include "pipeline/retime/cut_file.h"

#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// A take that a cut list draws on, and what the list says of it. Two clips on one reel are two takes.
struct CutSource {
    enum class Picture {
        filmed,
        called_generated, ///< its name alone says so: the reels BL, BLACK and BARS
        generated
    };

    std::string reel; ///< of an edit list; many programs cut it to eight letters
    std::string clip; ///< as the editor calls it
    std::string file; ///< path or name of its file
    Picture picture = Picture::filmed;
    bool by_timecode = false;     ///< its labels are those that the footage alone has
    std::optional<Time> length{}; ///< of its whole file
    int uses = 0;                 ///< shots of it that are seen
    int disabled = 0;             ///< shots of it that are switched off

    /// For a person, who may give it back as --reel.
    std::string name() const;
    /// Whether `name` is its file, clip or reel.
    bool is_called(std::string_view name) const;
    /// Whether the list says nothing by which it could be known: reels are numbered, and AX is that of all without one.
    bool is_nameless() const;
};

/// A name of a clip that ends as a file's does is that of its file.
CutSource source_called(std::string reel, std::string clip, std::string file);

/// A stretch of the new film's picture and the source that it shows.
struct CutShot {
    std::size_t source = 0; ///< index into the list's sources
    KeptSpan span;
};

/// The picture of a cut, in order.
struct CutPicture {
    std::vector<CutShot> shots;
    std::vector<CutShot> hidden; ///< under other shots
};

/// The footage's own timecode, where hardly another film has it: neither zero nor a full hour.
std::optional<Time> telling_label(CutOptions const& options);

/// Whether no stretch that is kept begins before the end of the footage, where that is known.
bool lies_past(EditMap const& map, std::optional<Time> footage_length);

/// The map of the shots that show the footage, with a remark for those that do not and for hidden ones. Fails with
/// invalid_input and the reason where the footage cannot be told from the other sources, or nothing of it is seen.
Result<CutReading> cut_of_shots(CutPicture const& picture, std::vector<CutSource> const& sources,
                                CutOptions const& options);

} // namespace tabard::pipeline
