#include "tests/bench/listen/calibration.h"

#include <fmt/format.h>

namespace tabard::tests {

void Calibration::add(SectionOutcome const& section)
{
    if (!section.found)
        return;
    std::size_t bin = 0;
    while (bin + 1 < kBinsFrom.size() && section.confidence >= kBinsFrom[bin + 1])
        ++bin;
    bool const right = section.played && section.every_change_within(0.2);
    ++m_bins[bin].sections;
    m_bins[bin].right += right;
    m_bins[bin].sure += section.trusted;
    m_bins[bin].sure_and_right += section.trusted && right;
}

std::string Calibration::table() const
{
    auto const share = [](int part, int whole) {
        return whole == 0 ? std::string("-") : fmt::format("{:.1f} %", 100.0 * part / whole);
    };
    auto const row = [&](std::string const& name, Bin const& bin) {
        return fmt::format("{:<14} {:>8} {:>8} {:>8} {:>6} {:>8} {:>8}\n", name, bin.sections, bin.right,
                           share(bin.right, bin.sections), bin.sure, bin.sure_and_right,
                           share(bin.sure_and_right, bin.sure));
    };
    std::string text = fmt::format("{:<14} {:>8} {:>8} {:>8} {:>6} {:>8} {:>8}\n", "confidence", "sections", "right",
                                   "", "sure", "right", "");
    Bin all;
    for (std::size_t n = 0; n < m_bins.size(); ++n) {
        Bin const& bin = m_bins[n];
        text += row(n + 1 < m_bins.size() ? fmt::format("{:.2f} to {:.2f}", kBinsFrom[n], kBinsFrom[n + 1])
                                          : fmt::format("{:.2f} and more", kBinsFrom[n]),
                    bin);
        all.sections += bin.sections;
        all.right += bin.right;
        all.sure += bin.sure;
        all.sure_and_right += bin.sure_and_right;
    }
    return text + row("all found", all);
}

} // namespace tabard::tests
