#pragma once
#include <complex>
#include <memory>
#include <span>

namespace tabard::pipeline {

/// The discrete Fourier transform of real signals of one length, unscaled (libavutil's av_tx underneath).
/// `size` is a power of two from 4. Holds its own scratch memory: one thread at a time, move-only.
class RealFft {
public:
    explicit RealFft(int size);
    RealFft(RealFft&&) noexcept;
    RealFft& operator=(RealFft&&) noexcept;
    ~RealFft();

    int size() const;
    /// `samples`: size() of them. Returns the size()/2 + 1 bins from 0 to half the sample rate, valid until the next
    /// call.
    std::span<std::complex<float> const> forward(std::span<float const> samples);
    /// The inverse: size()/2 + 1 bins to size() samples, multiplied by size(). Valid until the next call.
    std::span<float const> inverse(std::span<std::complex<float> const> bins);

private:
    struct Impl;
    std::unique_ptr<Impl> m_impl;
};

} // namespace tabard::pipeline
