#pragma once
// Brings decoded frames to the form the project works on. Included by this folder's .cpp files alone.
#include "pipeline/media/av.h"

namespace tabard::pipeline::av {

/// Gives every frame one size and one planar YUV form, converting only those that have another.
class PictureConverter {
public:
    PictureConverter() = default;
    PictureConverter(AVPixelFormat form, SizePx size, Matrix rgb_matrix)
        : m_form(form), m_size(size), m_matrix(rgb_matrix)
    {
    }

    /// Errors: unsupported for a pixel format libswscale cannot read.
    Result<FrameHandle> convert(FrameHandle frame, std::filesystem::path const& path);

private:
    Result<FrameHandle> scale(AVFrame const& frame, std::filesystem::path const& path);

    AVPixelFormat m_form = AV_PIX_FMT_YUV420P;
    SizePx m_size;
    Matrix m_matrix = Matrix::bt709;
    ScalerHandle m_scaler;
};

} // namespace tabard::pipeline::av
