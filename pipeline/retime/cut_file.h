#pragma once
#include "overlay/base/result.h"
#include "pipeline/time/edit_map.h"

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// What a cut list leaves open.
struct CutOptions {
    std::optional<FrameRate> rate;      ///< of labels with frames: a CMX 3600 list says none
    std::string source;                 ///< name of the reel or media that is the footage; empty: found by `footage`
    std::string footage;                ///< file name of the footage, to know it among the list's reels and media
    std::optional<Time> footage_length; ///< to notice labels that lie outside it
    std::string footage_label;          ///< timecode that the footage itself gives its first picture; empty: none
    std::string source_start;           ///< label of the footage's first picture; empty: zero, or what the list says
    std::string record_start; ///< label of the new film's first picture; empty: the list's earliest record point
    bool lenient = false;     ///< where source and record lengths disagree, the record side is right
};

/// Why cues may lie at wrong times, and what to do.
struct CutDoubt {
    std::string what;
    std::string fix;
    friend bool operator==(CutDoubt const&, CutDoubt const&) = default;
    std::string text() const { return what + "; " + fix; }
};

/// A cut as its list describes it.
struct CutReading {
    EditMap map;
    Time new_length{0};                        ///< of the whole new film, new material included
    std::optional<std::int64_t> first_frame{}; ///< label of the new film's first frame, where only the list says it
    std::vector<std::string> remarks; ///< what the list holds and the map does not, each a sentence for a person
    std::vector<CutDoubt> doubts{};   ///< of the map itself
};

/// Reads a CMX 3600 edit list (.edl), an OpenTimelineIO file (.otio) or a plain list of kept pieces (.csv), known by
/// its extension. Fails with not_found or io where it cannot be read; with invalid_input, naming file and line or
/// place, where it is wrong, or where it keeps nothing of the footage; with unsupported where it is right but cannot be
/// followed.
Result<CutReading> read_cut(std::filesystem::path const& path, CutOptions const& options);

/// Whether read_cut() knows this kind of file, by its extension.
bool is_cut_list(std::filesystem::path const& path);

/// Largest cut list that is read, in bytes.
constexpr std::size_t kMostCutListBytes = 64 * 1024 * 1024;

} // namespace tabard::pipeline
