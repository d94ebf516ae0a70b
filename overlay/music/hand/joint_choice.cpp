#include "overlay/music/hand/joint_choice.h"

#include <algorithm>

namespace tabard::overlay {
namespace {

constexpr int kMostSteps = 10'000; ///< of the exact search, two milliseconds or three

class Search {
public:
    explicit Search(JointChoice const& choice) : m_choice(choice), m_pairs_of(choice.own.size())
    {
        for (auto const& pair : choice.pairs) {
            m_pairs_of[pair.a].push_back(&pair);
            m_pairs_of[pair.b].push_back(&pair);
        }
        add_least_rests();
    }

    std::vector<std::size_t> run()
    {
        m_options.assign(m_choice.own.size(), 0);
        descend();
        m_best = m_options;
        // One more, so that of equal choices the search takes the first in its own order.
        m_least = m_choice.cost_of(m_best) + 1;
        m_options.assign(m_choice.own.size(), 0);
        choose(0, 0);
        m_options = m_best;
        descend(); // where the search was broken off
        m_best = m_options;
        return m_best;
    }

private:
    /// For each thing the least that it and all after it can cost, whatever those before it have.
    void add_least_rests()
    {
        m_least_rest.assign(m_choice.own.size() + 1, 0);
        for (std::size_t thing = m_choice.own.size(); thing-- > 0;) {
            std::int64_t rest = *std::ranges::min_element(m_choice.own[thing]);
            for (auto const* pair : m_pairs_of[thing])
                if (std::max(pair->a, pair->b) == thing)
                    rest += least_of(*pair);
            m_least_rest[thing] = m_least_rest[thing + 1] + rest;
        }
    }

    static std::int64_t least_of(JointChoice::Pair const& pair)
    {
        std::int64_t least = pair.cost.front().front();
        for (auto const& row : pair.cost)
            least = std::min(least, *std::ranges::min_element(row));
        return least;
    }

    /// What a thing costs with those of its neighbours that `counts` says.
    template <class Counts>
    std::int64_t cost_beside(std::size_t thing, Counts const& counts) const
    {
        std::int64_t cost = m_choice.own[thing][m_options[thing]];
        for (auto const* pair : m_pairs_of[thing])
            if (counts(pair->a == thing ? pair->b : pair->a))
                cost += pair->cost[m_options[pair->a]][m_options[pair->b]];
        return cost;
    }

    /// Improves one thing after another until none gets cheaper.
    void descend()
    {
        auto const all = [](std::size_t) { return true; };
        for (bool better = true; better;) {
            better = false;
            for (std::size_t thing = 0; thing < m_options.size(); ++thing) {
                auto const before = m_options[thing];
                auto best = before;
                auto least = cost_beside(thing, all);
                for (m_options[thing] = 0; m_options[thing] < m_choice.own[thing].size(); ++m_options[thing])
                    if (auto const cost = cost_beside(thing, all); cost < least) {
                        least = cost;
                        best = m_options[thing];
                    }
                m_options[thing] = best;
                better = better || best != before;
            }
        }
    }

    /// Depth first, low options first, leaving out what cannot be cheaper than the best so far.
    void choose(std::size_t thing, std::int64_t so_far)
    {
        if (so_far + m_least_rest[thing] >= m_least || ++m_steps > kMostSteps)
            return;
        if (thing == m_options.size()) {
            m_best = m_options;
            m_least = so_far;
            return;
        }
        for (std::size_t option = 0; option < m_choice.own[thing].size(); ++option) {
            m_options[thing] = option;
            choose(thing + 1, so_far + cost_beside(thing, [&](std::size_t other) { return other < thing; }));
        }
    }

    JointChoice const& m_choice;
    std::vector<std::vector<JointChoice::Pair const*>> m_pairs_of;
    std::vector<std::int64_t> m_least_rest;
    std::vector<std::size_t> m_options;
    std::vector<std::size_t> m_best;
    std::int64_t m_least = 0;
    int m_steps = 0;
};

} // namespace

std::int64_t JointChoice::cost_of(std::vector<std::size_t> const& options) const
{
    std::int64_t cost = 0;
    for (std::size_t thing = 0; thing < own.size(); ++thing)
        cost += own[thing][options[thing]];
    for (auto const& pair : pairs)
        cost += pair.cost[options[pair.a]][options[pair.b]];
    return cost;
}

std::vector<std::size_t> least_cost(JointChoice const& choice) { return Search(choice).run(); }

} // namespace tabard::overlay
