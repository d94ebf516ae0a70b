#include "pipeline/media/decoded_picture.h"

#include "overlay/base/precondition.h"
#include "pipeline/media/av.h"

#include <new>

namespace tabard::pipeline {
namespace {

PictureView view_of(AVFrame const& frame)
{
    auto const format = static_cast<AVPixelFormat>(frame.format);
    PictureView view;
    view.layout = av::layout_of(format);
    for (std::size_t i = 0; i < view.planes.size(); ++i) {
        int const shift_x = i == 0 ? 0 : view.layout.chroma_shift_x;
        int const shift_y = i == 0 ? 0 : view.layout.chroma_shift_y;
        view.planes[i] = {reinterpret_cast<std::byte*>(frame.data[i]), frame.linesize[i],
                          AV_CEIL_RSHIFT(frame.width, shift_x), AV_CEIL_RSHIFT(frame.height, shift_y)};
    }
    return view;
}

// av_frame_make_writable() asks the system for fresh memory each time; the pool gives the same few buffers in turn.
av::FrameHandle private_copy(AVFrame const& frame, AVBufferPool* pool)
{
    av::FrameHandle copy = av::make_frame();
    copy->format = frame.format;
    copy->width = frame.width;
    copy->height = frame.height;
    copy->buf[0] = av_buffer_pool_get(pool);
    if (!copy->buf[0])
        throw std::bad_alloc();
    av_image_fill_arrays(copy->data, copy->linesize, copy->buf[0]->data, static_cast<AVPixelFormat>(frame.format),
                         frame.width, frame.height, 64);
    av_frame_copy(copy.get(), &frame);
    if (av_frame_copy_props(copy.get(), &frame) < 0)
        throw std::bad_alloc();
    return copy;
}

} // namespace

DecodedPicture::DecodedPicture(std::unique_ptr<av::Frame> frame) : m_frame(std::move(frame)) { PRECONDITION(m_frame); }
DecodedPicture::DecodedPicture(DecodedPicture&&) noexcept = default;
DecodedPicture& DecodedPicture::operator=(DecodedPicture&&) noexcept = default;
DecodedPicture::~DecodedPicture() = default;

Time DecodedPicture::time() const { return av::time_of(m_frame->ticks, m_frame->clock); }

Time DecodedPicture::duration() const
{
    return av::time_of(m_frame->ticks + m_frame->duration_ticks, m_frame->clock) - time();
}

std::optional<DecodedPicture> DecodedPicture::split_off_until(Time at)
{
    std::int64_t const before = to_ticks(at, m_frame->clock.num, m_frame->clock.den) - m_frame->ticks;
    if (before <= 0 || before >= m_frame->duration_ticks)
        return std::nullopt;
    auto first = std::make_unique<av::Frame>();
    first->handle.reset(av_frame_clone(m_frame->handle.get()));
    if (!first->handle)
        throw std::bad_alloc();
    first->ticks = m_frame->ticks;
    first->duration_ticks = before;
    first->clock = m_frame->clock;
    first->copies = m_frame->copies;
    m_frame->ticks += before;
    m_frame->duration_ticks -= before;
    return DecodedPicture(std::move(first));
}

SizePx DecodedPicture::size() const { return {m_frame->handle->width, m_frame->handle->height}; }

PixelLayout DecodedPicture::layout() const
{
    return av::layout_of(static_cast<AVPixelFormat>(m_frame->handle->format));
}

PictureView DecodedPicture::view() const { return view_of(*m_frame->handle); }

PictureView DecodedPicture::writable()
{
    if (!av_frame_is_writable(m_frame->handle.get()))
        m_frame->handle = private_copy(*m_frame->handle, m_frame->copies.get());
    return view_of(*m_frame->handle);
}

} // namespace tabard::pipeline
