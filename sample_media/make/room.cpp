#include "sample_media/make/room.h"

#include "sample_media/make/pluck.h"

#include <array>
#include <cmath>

namespace tabard::lantern {
namespace {

constexpr float kLevel = 0.455F; // measured: makes the film -20 LUFS

/// A band-pass of two poles with a peak of 1 (the usual bilinear form).
class Resonance {
public:
    Resonance(double hertz, double quality, double gain)
    {
        double const w = 6.283185307 * hertz / kSampleRate;
        double const alpha = std::sin(w) / (2 * quality);
        m_in = static_cast<float>(gain * alpha / (1 + alpha));
        m_back1 = static_cast<float>(-2 * std::cos(w) / (1 + alpha));
        m_back2 = static_cast<float>((1 - alpha) / (1 + alpha));
    }
    float operator()(float x)
    {
        float const y = m_in * (x - m_x2) - m_back1 * m_y1 - m_back2 * m_y2;
        m_x2 = m_x1;
        m_x1 = x;
        m_y2 = m_y1;
        m_y1 = y;
        return y;
    }

private:
    float m_in, m_back1, m_back2;
    float m_x1 = 0, m_x2 = 0, m_y1 = 0, m_y2 = 0;
};

/// A delay that feeds back, dulling as it goes.
class Echo {
public:
    Echo(std::size_t samples, float feedback) : m_line(samples, 0.0F), m_feedback(feedback) {}
    float operator()(float x)
    {
        float const y = m_line[m_at];
        m_dull = 0.6F * y + 0.4F * m_dull;
        m_line[m_at] = x + m_feedback * m_dull;
        m_at = m_at + 1 == m_line.size() ? 0 : m_at + 1;
        return y;
    }

private:
    std::vector<float> m_line;
    std::size_t m_at = 0;
    float m_feedback;
    float m_dull = 0;
};

/// Leaves soft sound alone and bends what is above 0.6 so that it never reaches 0.9.
float bend(float x)
{
    float const size = std::abs(x);
    if (size <= 0.6F)
        return x;
    return std::copysign(0.6F + 0.3F * std::tanh((size - 0.6F) / 0.3F), x);
}

} // namespace

std::vector<float> in_the_body(std::vector<float> const& strings)
{
    std::array<Resonance, 9> modes{{{103, 12, 1.1},
                                    {198, 16, 0.9},
                                    {236, 14, 0.5},
                                    {392, 20, 0.5},
                                    {523, 22, 0.35},
                                    {688, 22, 0.3},
                                    {1010, 12, 0.3},
                                    {1480, 6, 0.35},
                                    {2600, 2.5, 0.45}}};
    std::vector<float> out;
    out.reserve(strings.size());
    float warm = 0;
    for (auto const x : strings) {
        warm += 0.1F * (x - warm); // below 800 Hz
        float y = 0.35F * x + 0.5F * warm;
        for (auto& mode : modes)
            y += mode(x);
        out.push_back(y);
    }
    return out;
}

std::vector<float> in_the_room(std::vector<float> const& guitar)
{
    // Lengths in samples without common factors, so that the echoes do not gather into a tone.
    std::array<Echo, 4> left{{{1423, 0.62F}, {1777, 0.6F}, {2131, 0.58F}, {2683, 0.55F}}};
    std::array<Echo, 4> right{{{1487, 0.62F}, {1693, 0.6F}, {2239, 0.58F}, {2579, 0.55F}}};
    std::vector<float> out;
    out.reserve(guitar.size() * 2);
    constexpr std::size_t kFade = kSampleRate * 3 / 2;
    for (std::size_t n = 0; n < guitar.size(); ++n) {
        float const x = guitar[n];
        float l = x;
        float r = x;
        for (std::size_t i = 0; i < 4; ++i) {
            l += 0.07F * left[i](x);
            r += 0.07F * right[i](x);
        }
        auto const rest = static_cast<float>(guitar.size() - 1 - n) / static_cast<float>(kFade);
        float const level = kLevel * (rest < 1 ? rest * rest : 1.0F);
        out.push_back(bend(l * level));
        out.push_back(bend(r * level));
    }
    return out;
}

} // namespace tabard::lantern
