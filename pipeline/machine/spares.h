#pragma once
#include "overlay/base/result.h"

#include <mutex>
#include <utility>
#include <vector>

namespace tabard::pipeline {

/// Things that are dear to make and that no two threads may use at once: each thread takes one and gives it back.
template <class Thing>
class Spares {
public:
    /// One that was given back, else what `make` gives, a Result<Thing>.
    template <class Make>
    Result<Thing> take(Make const& make)
    {
        {
            std::lock_guard const lock(m_mutex);
            if (!m_idle.empty()) {
                Thing thing = std::move(m_idle.back());
                m_idle.pop_back();
                return thing;
            }
        }
        return make();
    }
    void give_back(Thing thing)
    {
        std::lock_guard const lock(m_mutex);
        m_idle.push_back(std::move(thing));
    }

private:
    std::mutex m_mutex; // guards m_idle
    std::vector<Thing> m_idle;
};

} // namespace tabard::pipeline
