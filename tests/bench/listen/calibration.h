#pragma once
#include "tests/bench/listen/outcome.h"

#include <array>
#include <string>

namespace tabard::tests {

/// How much a confidence is worth: by its size, how many sections have every change within 200 ms.
class Calibration {
public:
    void add(SectionOutcome const& section);
    std::string table() const;

private:
    struct Bin {
        int sections = 0;
        int right = 0;
        int sure = 0;
        int sure_and_right = 0;
    };
    static constexpr std::array kBinsFrom{0.0, 0.5, 0.75, 0.85, 0.9, 0.95, 0.98};
    std::array<Bin, kBinsFrom.size()> m_bins{};
};

} // namespace tabard::tests
