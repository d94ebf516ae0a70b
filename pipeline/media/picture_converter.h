#pragma once
// Brings decoded frames to the form the project works on. Included by this folder's .cpp files alone.
#include "pipeline/media/av.h"

namespace tabard::pipeline::av {

constexpr double kSameShape = 0.02; ///< so much wider or narrower is rounding of the aspect

/// Gives every frame one size and one planar YUV form, converting only those that have another.
class PictureConverter {
public:
    PictureConverter() = default;
    PictureConverter(AVPixelFormat form, SizePx size, Matrix rgb_matrix)
        : m_form(form), m_size(size), m_matrix(rgb_matrix)
    {
    }

    /// `wider`: how much wider the frame is shown for its height than the others are, 1 where it is like them. What has
    /// another shape is shown whole, between black edges. Errors: unsupported for a pixel format libswscale cannot
    /// read.
    Result<FrameHandle> convert(FrameHandle frame, std::filesystem::path const& path, double wider = 1);

private:
    Result<FrameHandle> scale(AVFrame const& frame, std::filesystem::path const& path, SizePx size);
    FrameHandle between_edges(AVFrame const& frame) const;

    AVPixelFormat m_form = AV_PIX_FMT_YUV420P;
    SizePx m_size;
    Matrix m_matrix = Matrix::bt709;
    ScalerHandle m_scaler;
};

} // namespace tabard::pipeline::av
