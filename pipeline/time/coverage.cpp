#include "pipeline/time/coverage.h"

namespace tabard::pipeline {

std::vector<Interval> Coverage::add(Interval stretch)
{
    std::vector<Interval> uncovered;
    if (stretch.empty())
        return uncovered;
    Time reached = stretch.from;
    Interval whole = stretch;
    auto entry = m_ends.upper_bound(stretch.from);
    if (entry != m_ends.begin() && std::prev(entry)->second >= stretch.from)
        --entry;
    while (entry != m_ends.end() && entry->first <= stretch.to) {
        if (entry->first > reached)
            uncovered.push_back({reached, entry->first});
        reached = std::max(reached, entry->second);
        whole = {std::min(whole.from, entry->first), std::max(whole.to, entry->second)};
        entry = m_ends.erase(entry);
    }
    if (reached < stretch.to)
        uncovered.push_back({reached, stretch.to});
    m_ends.emplace(whole.from, whole.to);
    return uncovered;
}

std::vector<Interval> Coverage::stretches() const
{
    std::vector<Interval> all;
    for (auto const& [from, to] : m_ends)
        all.push_back({from, to});
    return all;
}

} // namespace tabard::pipeline
