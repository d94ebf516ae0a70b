#include "pipeline/listen/rise_energy.h"

#include <utility>

namespace tabard::pipeline {

void RiseMeter::add(std::span<float const> block)
{
    for (float const sample : block) {
        float const rise = m_samples > 0 ? sample - 0.9F * m_last : 0.0F; // nothing comes before the first
        m_last = sample;
        m_energy += rise * rise;
        if (++m_samples % kRiseHop == 0)
            m_energies.push_back(std::exchange(m_energy, 0.0F));
    }
}

std::vector<float> RiseMeter::finish()
{
    if (m_samples % kRiseHop != 0)
        m_energies.push_back(m_energy);
    return std::move(m_energies);
}

} // namespace tabard::pipeline
