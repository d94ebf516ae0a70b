#include "pipeline/sound/real_fft.h"

#include "overlay/base/precondition.h"

#include <algorithm>
#include <bit>
#include <new>

extern "C" {
#include <libavutil/mem.h>
#include <libavutil/tx.h>
}

namespace tabard::pipeline {

namespace {

struct Plan {
    AVTXContext* context = nullptr;
    av_tx_fn run = nullptr;

    Plan(int size, bool inverse)
    {
        float const scale = 1.0F;
        if (av_tx_init(&context, &run, AV_TX_FLOAT_RDFT, inverse ? 1 : 0, size, &scale, 0) < 0)
            throw std::bad_alloc();
    }
    Plan(Plan const&) = delete;
    Plan& operator=(Plan const&) = delete;
    ~Plan() { av_tx_uninit(&context); }
};

/// Memory aligned as av_tx's vector code wants it.
template <class T>
class Aligned {
public:
    explicit Aligned(std::size_t size) : m_data(static_cast<T*>(av_mallocz(size * sizeof(T)))), m_size(size)
    {
        if (!m_data)
            throw std::bad_alloc();
    }
    std::span<T> span() { return {m_data.get(), m_size}; }

private:
    struct Free {
        void operator()(T* data) const noexcept { av_free(data); }
    };
    std::unique_ptr<T, Free> m_data;
    std::size_t m_size;
};

} // namespace

struct RealFft::Impl {
    explicit Impl(int size)
        : forward(size, false),
          inverse(size, true),
          samples(static_cast<std::size_t>(size)),
          bins(static_cast<std::size_t>(size) / 2 + 1)
    {
    }
    Plan forward;
    Plan inverse;
    Aligned<float> samples;
    Aligned<std::complex<float>> bins;
};

RealFft::RealFft(int size)
{
    PRECONDITION(size >= 4 && std::has_single_bit(static_cast<unsigned>(size)));
    m_impl = std::make_unique<Impl>(size);
}

RealFft::RealFft(RealFft&&) noexcept = default;
RealFft& RealFft::operator=(RealFft&&) noexcept = default;
RealFft::~RealFft() = default;

int RealFft::size() const { return static_cast<int>(m_impl->samples.span().size()); }

std::span<std::complex<float> const> RealFft::forward(std::span<float const> samples)
{
    auto const input = m_impl->samples.span();
    auto const output = m_impl->bins.span();
    PRECONDITION(samples.size() == input.size());
    std::ranges::copy(samples, input.begin());
    m_impl->forward.run(m_impl->forward.context, output.data(), input.data(), sizeof(float));
    return output;
}

std::span<float const> RealFft::inverse(std::span<std::complex<float> const> bins)
{
    auto const input = m_impl->bins.span();
    auto const output = m_impl->samples.span();
    PRECONDITION(bins.size() == input.size());
    std::ranges::copy(bins, input.begin());
    m_impl->inverse.run(m_impl->inverse.context, output.data(), input.data(), sizeof(std::complex<float>));
    return output;
}

} // namespace tabard::pipeline
