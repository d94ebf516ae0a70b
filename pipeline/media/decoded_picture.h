#pragma once
#include "pipeline/media/orientation.h"
#include "pipeline/media/picture.h"
#include "pipeline/time/time.h"

#include <cstdint>
#include <memory>
#include <optional>

namespace tabard::pipeline {

namespace av {
struct Frame;
}

/// One decoded picture of the film, on screen in [time(), time() + duration()). Move-only handle; the samples are
/// shared with the decoder until somebody asks to write.
class DecodedPicture {
public:
    explicit DecodedPicture(std::unique_ptr<av::Frame> frame); ///< for pipeline/media only
    DecodedPicture(DecodedPicture&&) noexcept;
    DecodedPicture& operator=(DecodedPicture&&) noexcept;
    ~DecodedPicture();

    Time time() const;
    Time duration() const; ///< until the next picture's time; for the last one what the container says
    /// The same picture until `at`; this one is what is left from there on. None where the film's clock has no tick for
    /// `at` inside its time.
    std::optional<DecodedPicture> split_off_until(Time at);
    SizePx size() const;
    PixelLayout layout() const;

    /// For reading only: its bytes may be in use as a reference by the decoder.
    PictureView view() const;
    /// For blending in place. Copies the samples first if the decoder still needs them.
    PictureView writable();

    av::Frame const& frame() const { return *m_frame; } ///< for pipeline/media only
    av::Frame& frame() { return *m_frame; }

private:
    std::unique_ptr<av::Frame> m_frame;
};

} // namespace tabard::pipeline
