#pragma once
#include <array>
#include <cstdint>
#include <optional>

namespace tabard::pipeline {

struct SizePx {
    int width = 0;
    int height = 0;
    friend bool operator==(SizePx, SizePx) = default;
};

struct PointPx {
    int x = 0;
    int y = 0;
    friend bool operator==(PointPx, PointPx) = default;
};

/// How a stored picture is to be shown: first flipped left to right if `mirrored`, then turned clockwise by
/// `quarter_turns` times 90 degrees.
struct Orientation {
    int quarter_turns = 0; ///< 0, 1, 2 or 3, clockwise
    bool mirrored = false;

    /// Size as shown of a picture stored in `stored`.
    SizePx shown_size(SizePx stored) const;
    /// Where the stored sample `at` of a picture of size `stored` is shown.
    PointPx shown_at(PointPx at, SizePx stored) const;
    /// The inverse: which stored sample is shown at `at`.
    PointPx stored_at(PointPx at, SizePx stored) const;

    /// From a display matrix as ISO/IEC 14496-12 stores it in a track header (a b u c d v x y w; 16.16, 2.30 for u v
    /// w). None for a matrix that is not a multiple of 90 degrees.
    static std::optional<Orientation> from_matrix(std::array<std::int32_t, 9> const& matrix);

    friend bool operator==(Orientation, Orientation) = default;
};

} // namespace tabard::pipeline
