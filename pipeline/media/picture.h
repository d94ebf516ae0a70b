#pragma once
#include <array>
#include <cstddef>
#include <cstdint>

namespace tabard::pipeline {

/// How planar YUV pictures lie in memory: three planes, 8-bit samples in bytes or 10-bit ones in native 16-bit words.
/// Every decoded picture has this form; footage that has not is converted once when it is read.
struct PixelLayout {
    int bit_depth = 8;      ///< 8 or 10 (12 is read as 10)
    int chroma_shift_x = 1; ///< 1 for 4:2:0 and 4:2:2
    int chroma_shift_y = 1; ///< 1 for 4:2:0
    friend bool operator==(PixelLayout, PixelLayout) = default;
};

enum class Matrix { bt601, bt709, bt2020 };
enum class Range { limited, full };
enum class Transfer { sdr, hlg, pq };

/// What the samples mean. `tagged` is false where the footage does not say and the usual guess was made.
struct ColourTags {
    Matrix matrix = Matrix::bt709;
    Range range = Range::limited;
    Transfer transfer = Transfer::sdr;
    bool wide_gamut = false; ///< BT.2020 primaries
    bool tagged = true;
    friend bool operator==(ColourTags, ColourTags) = default;
};

/// One plane, borrowed. `stride` in bytes. Width and height in samples.
struct PlaneView {
    std::byte* data = nullptr;
    std::ptrdiff_t stride = 0;
    int width = 0;
    int height = 0;
};

/// A picture that may be written to, borrowed from whoever decoded it: Y, Cb, Cr.
struct PictureView {
    std::array<PlaneView, 3> planes;
    PixelLayout layout;
};

} // namespace tabard::pipeline
