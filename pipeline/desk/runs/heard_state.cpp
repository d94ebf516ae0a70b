#include "pipeline/desk/runs/heard_state.h"

#include <algorithm>

namespace tabard::pipeline {
namespace {

using States = std::vector<PartState>;

/// From the first to the last that a part shows and plays, where it says so.
std::optional<Interval> contents(PartState const& state, Section const& section)
{
    std::vector<Time> times;
    for (Pin const& pin : state.pins)
        times.insert(times.end(), {pin.time, pin.next_time()});
    for (ShowCue const& cue : section.show)
        times.push_back(*cue.from);
    if (times.empty())
        return std::nullopt;
    auto const [first, last] = std::ranges::minmax(times);
    return Interval{first, last};
}

/// How far a part reaches beyond its own ends: 0 where it holds what it has.
Time outside(PartState const& state, Section const& section)
{
    Time result{0};
    auto const& [from, to] = state.times;
    if (from && to && *to <= *from)
        result += *from - *to + Time{1};
    auto const inside = contents(state, section);
    if (inside && from && inside->from < *from)
        result += *from - inside->from;
    if (inside && to && inside->to > *to)
        result += inside->to - *to;
    return result;
}

/// An instant where nobody says when it ends.
std::optional<Interval> extent(PartState const& state)
{
    if (!state.times.from)
        return std::nullopt;
    Time const from = *state.times.from;
    Time const last = state.pins.empty() ? from : state.pins.back().next_time();
    return Interval{from, std::max(state.times.to.value_or(last), from + Time{1})};
}

/// For how long two parts are there at once.
Time overlap(PartState const& a, PartState const& b)
{
    auto const one = extent(a), other = extent(b);
    if (!one || !other)
        return Time{0};
    return std::max(Time{0}, std::min(one->to, other->to) - std::max(one->from, other->from));
}

/// Lessons before, after, and in between.
class Between {
public:
    Between(Lesson const& lesson, LessonHeard const& heard)
        : m_lesson(lesson),
          m_before(written_states(lesson)),
          m_after(heard_states(lesson, heard)),
          m_heard(lesson.sections.size())
    {
        for (HeardSection const& section : heard.sections)
            m_heard[static_cast<std::size_t>(section.section)] = section.trusted();
    }

    TakenParts take(std::size_t part)
    {
        take_whole(part);
        while (auto const other = in_the_way())
            give_way(*other);
        return std::move(m_taken);
    }

private:
    bool changes(std::size_t part) const { return !(m_before[part] == m_after[part]); }

    void take_whole(std::size_t part)
    {
        m_taken.whole.insert(part);
        if (auto const before = beside(part, -1); before && moves_along(*before))
            m_taken.to.insert(*before);
        if (auto const next = beside(part, 1); next && moves_along(*next))
            m_taken.from.insert(*next);
    }

    /// As little as it takes: where it begins, where it ends, all of it.
    void give_way(std::size_t part)
    {
        if (m_taken.from.insert(part).second || m_taken.to.insert(part).second)
            return;
        take_whole(part);
    }

    /// What was heard itself is another question.
    bool moves_along(std::size_t part) const { return !m_heard[part]; }

    /// The part before or after it in the film, once all is taken.
    std::optional<std::size_t> beside(std::size_t part, int step) const
    {
        std::vector<std::size_t> order;
        for (std::size_t n = 0; n < m_after.size(); ++n)
            if (m_after[n].times.from)
                order.push_back(n);
        std::ranges::stable_sort(order, {}, [this](std::size_t n) { return *m_after[n].times.from; });
        auto const at = std::ranges::find(order, part) - order.begin() + step;
        if (at < 0 || at >= std::ssize(order))
            return std::nullopt;
        return order[static_cast<std::size_t>(at)];
    }

    PartState now(std::size_t part) const
    {
        if (m_taken.whole.contains(part))
            return m_after[part];
        PartState state = m_before[part];
        if (m_taken.from.contains(part))
            state.times.from = m_after[part].times.from;
        if (m_taken.to.contains(part))
            state.times.to = m_after[part].times.to;
        return state;
    }

    /// A part that cannot stay as it is; nothing where all holds together as well as before or after.
    std::optional<std::size_t> in_the_way() const
    {
        for (std::size_t n = 0; n < m_before.size(); ++n) {
            if (m_taken.whole.contains(n) || !changes(n))
                continue;
            auto const& section = m_lesson.sections[n];
            Time const usual = std::max(outside(m_before[n], section), outside(m_after[n], section));
            if (outside(now(n), section) > usual || is_over_another(n))
                return n;
        }
        return std::nullopt;
    }

    bool is_over_another(std::size_t part) const
    {
        for (std::size_t n = 0; n < m_before.size(); ++n) {
            Time const usual = std::max(overlap(m_before[n], m_before[part]), overlap(m_after[n], m_after[part]));
            if (n != part && overlap(now(n), now(part)) > usual)
                return true;
        }
        return false;
    }

    Lesson const& m_lesson;
    States m_before;
    States m_after;
    std::vector<bool> m_heard;
    TakenParts m_taken;
};

} // namespace

bool operator==(PartState const& a, PartState const& b)
{
    return a.times == b.times && std::ranges::equal(a.pins, b.pins, [](Pin const& one, Pin const& other) {
               return one.position == other.position && one.time == other.time &&
                      one.next_position() == other.next_position() && one.next_time() == other.next_time();
           });
}

std::vector<PartState> written_states(Lesson const& lesson)
{
    std::vector<PartState> states;
    for (Section const& section : lesson.sections) {
        PartState state;
        if (section.from)
            state.times.from = **section.from;
        if (section.to)
            state.times.to = **section.to;
        state.pins = section.pins;
        states.push_back(std::move(state));
    }
    return states;
}

std::vector<PartState> heard_states(Lesson const& lesson, LessonHeard const& heard)
{
    auto states = written_states(lesson);
    auto const times = heard_times(lesson, heard);
    for (std::size_t n = 0; n < states.size(); ++n)
        states[n].times = times[n];
    for (HeardSection const& section : heard.sections)
        if (section.trusted())
            states[static_cast<std::size_t>(section.section)].pins = section.pins;
    return states;
}

TakenParts taken_with(std::size_t part, Lesson const& lesson, LessonHeard const& heard)
{
    return Between{lesson, heard}.take(part);
}

} // namespace tabard::pipeline
