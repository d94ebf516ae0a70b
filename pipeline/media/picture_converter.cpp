#include "pipeline/media/picture_converter.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

namespace tabard::pipeline::av {
namespace {

// The yuvj formats and those with a fourth plane hold the same three planes: only the name differs.
AVPixelFormat same_planes(AVPixelFormat format)
{
    switch (format) {
    case AV_PIX_FMT_YUVJ420P:
    case AV_PIX_FMT_YUVA420P:
        return AV_PIX_FMT_YUV420P;
    case AV_PIX_FMT_YUVJ422P:
    case AV_PIX_FMT_YUVA422P:
        return AV_PIX_FMT_YUV422P;
    case AV_PIX_FMT_YUVJ444P:
    case AV_PIX_FMT_YUVA444P:
        return AV_PIX_FMT_YUV444P;
    case AV_PIX_FMT_YUVA420P10:
        return AV_PIX_FMT_YUV420P10;
    case AV_PIX_FMT_YUVA422P10:
        return AV_PIX_FMT_YUV422P10;
    case AV_PIX_FMT_YUVA444P10:
        return AV_PIX_FMT_YUV444P10;
    default:
        return format;
    }
}

bool is_rgb(AVPixelFormat format)
{
    AVPixFmtDescriptor const* description = av_pix_fmt_desc_get(format);
    return description && (description->flags & (AV_PIX_FMT_FLAG_RGB | AV_PIX_FMT_FLAG_PAL)) != 0;
}

int const* coefficients(Matrix matrix)
{
    switch (matrix) {
    case Matrix::bt601:
        return sws_getCoefficients(SWS_CS_ITU601);
    case Matrix::bt709:
        return sws_getCoefficients(SWS_CS_ITU709);
    case Matrix::bt2020:
        return sws_getCoefficients(SWS_CS_BT2020);
    }
    return sws_getCoefficients(SWS_CS_ITU709);
}

// The part of `size` that holds a picture shown `wider`: even, so that all planes begin with a whole sample.
SizePx inner_size(SizePx size, double wider)
{
    auto const part = [](int whole, double share) {
        return std::clamp(2 * static_cast<int>(std::lround(whole * share / 2)), 2, whole);
    };
    if (std::abs(wider - 1) < kSameShape)
        return size;
    return wider > 1 ? SizePx{size.width, part(size.height, 1 / wider)} : SizePx{part(size.width, wider), size.height};
}

void tag_rgb(AVFrame& frame, Matrix matrix)
{
    frame.color_range = AVCOL_RANGE_MPEG;
    frame.colorspace = matrix == Matrix::bt2020  ? AVCOL_SPC_BT2020_NCL
                       : matrix == Matrix::bt709 ? AVCOL_SPC_BT709
                                                 : AVCOL_SPC_SMPTE170M;
}

} // namespace

Result<FrameHandle> PictureConverter::convert(FrameHandle frame, std::filesystem::path const& path, double wider)
{
    if (SizePx const inner = inner_size(m_size, wider); inner != m_size) {
        TRY_ASSIGN(FrameHandle const scaled, scale(*frame, path, inner));
        return between_edges(*scaled);
    }
    auto const format = static_cast<AVPixelFormat>(frame->format);
    AVPixelFormat const same = same_planes(format);
    if (same == m_form && frame->width == m_size.width && frame->height == m_size.height) {
        if (is_full_range(static_cast<AVPixelFormat>(frame->format), frame->color_range))
            frame->color_range = AVCOL_RANGE_JPEG;
        frame->format = same;
        return frame;
    }
    return scale(*frame, path, m_size);
}

FrameHandle PictureConverter::between_edges(AVFrame const& frame) const
{
    FrameHandle out = make_frame();
    out->format = m_form;
    out->width = m_size.width;
    out->height = m_size.height;
    if (av_frame_get_buffer(out.get(), 0) < 0 || av_frame_copy_props(out.get(), &frame) < 0)
        throw std::bad_alloc();
    std::array<std::ptrdiff_t, 4> strides{};
    std::copy_n(out->linesize, strides.size(), strides.begin());
    av_image_fill_black(out->data, strides.data(), m_form, frame.color_range, out->width, out->height);
    AVPixFmtDescriptor const& form = *av_pix_fmt_desc_get(m_form);
    for (int plane = 0; plane < 3; ++plane) {
        int const right = plane == 0 ? 0 : form.log2_chroma_w;
        int const down = plane == 0 ? 0 : form.log2_chroma_h;
        int const step = form.comp[plane].step;
        int const left = ((out->width - frame.width) / 4 * 2) >> right;
        int const top = ((out->height - frame.height) / 4 * 2) >> down;
        av_image_copy_plane(out->data[plane] + top * out->linesize[plane] + left * step, out->linesize[plane],
                            frame.data[plane], frame.linesize[plane], AV_CEIL_RSHIFT(frame.width, right) * step,
                            AV_CEIL_RSHIFT(frame.height, down));
    }
    return out;
}

Result<FrameHandle> PictureConverter::scale(AVFrame const& frame, std::filesystem::path const& path, SizePx size)
{
    auto const format = static_cast<AVPixelFormat>(frame.format);
    SwsContext* const reused = sws_getCachedContext(
        m_scaler.release(), frame.width, frame.height, format, size.width, size.height, m_form,
        SWS_BICUBIC | SWS_ACCURATE_RND | SWS_FULL_CHR_H_INT | SWS_FULL_CHR_H_INP, nullptr, nullptr, nullptr);
    m_scaler.reset(reused);
    if (!m_scaler)
        return Error{ErrorKind::unsupported,
                     fmt::format("{}: frames of the form {} cannot be read", path.string(),
                                 av_get_pix_fmt_name(format) ? av_get_pix_fmt_name(format) : "?")};
    bool const rgb = is_rgb(format);
    bool const full = !rgb && is_full_range(static_cast<AVPixelFormat>(frame.format), frame.color_range);
    int const* const matrix = coefficients(m_matrix);
    sws_setColorspaceDetails(m_scaler.get(), matrix, full ? 1 : 0, matrix, full ? 1 : 0, 0, 1 << 16, 1 << 16);

    FrameHandle out = make_frame();
    if (av_frame_copy_props(out.get(), &frame) < 0)
        throw std::bad_alloc();
    out->format = m_form;
    out->width = size.width;
    out->height = size.height;
    if (int const code = sws_scale_frame(m_scaler.get(), out.get(), &frame); code < 0)
        return error(code, "cannot convert a frame", path);
    if (full)
        out->color_range = AVCOL_RANGE_JPEG;
    if (rgb)
        tag_rgb(*out, m_matrix);
    return out;
}

} // namespace tabard::pipeline::av
