#include "pipeline/desk/music/tap_edits.h"

#include "pipeline/cues/meter_ticks.h"
#include "pipeline/cues/pin_text.h"
#include "pipeline/cues/tempo_limits.h"
#include "pipeline/desk/music/written_time.h"
#include "pipeline/desk/view/part_times.h"
#include "pipeline/time/timecode.h"
#include "pipeline/timeline/tempo_map.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// What comes within this of each other is at the same time: a frame of 25 a second.
constexpr Time kSame = from_ticks(40, 1, 1000);

/// The section as it is with these pins.
Section with_pins(Section section, TappedPart const& tapped)
{
    bool const begin_alone = tapped.pins.size() == 1;
    if (!begin_alone) {
        section.pins = tapped.pins;
        return section;
    }
    Time const begin = tapped.pins.front().time;
    if (section.pins.empty()) {
        section.from = Sourced<Time>{begin, section.at};
        return section;
    }
    auto const map = tempo_map(section);
    Time const before = map ? map->time_at(first_tick(section)) : section.pins.front().time;
    for (Pin& pin : section.pins) {
        pin.time += begin - before;
        if (pin.goes_on)
            pin.goes_on->time += begin - before;
    }
    return section;
}

class Writer {
public:
    Writer(JsonValue const& document, PartOfFile const& part, TappedPart const& tapped)
        : m_document(document),
          m_part(part),
          m_tapped(tapped),
          m_old(part_times(part.own())),
          m_after(with_pins(part.own(), tapped))
    {
        m_new = part_times(m_after);
    }

    TapEdits write()
    {
        set_pins();
        set_from();
        set_tempo();
        set_to();
        warn();
        return std::move(m_result);
    }

private:
    std::vector<Section> const& sections() const { return m_part.lesson.sections; }

    JsonValue const* object_of(std::size_t section) const
    {
        auto const index = index_in_file(m_document, sections()[section].at);
        return index ? &m_document.find("sections")->items[*index] : nullptr;
    }

    void set(std::size_t section, std::string key, JsonValue value)
    {
        if (auto const index = index_in_file(m_document, sections()[section].at))
            m_result.edits.push_back({{"sections", *index, std::move(key)}, std::move(value)});
    }

    void set_time(std::size_t section, std::string key, Time time)
    {
        JsonValue const* const object = object_of(section);
        JsonValue const* const before = object ? object->find(key) : nullptr;
        TimeForm const form = before ? form_of(*before, std::nullopt) : TimeForm{};
        set(section, std::move(key), written_time(whole_milliseconds(time), form));
    }

    void set_pins()
    {
        if (m_after.pins.empty())
            return;
        std::vector<JsonValue> pins;
        for (Pin pin : m_after.pins) {
            pin.time = whole_milliseconds(pin.time);
            if (pin.goes_on)
                pin.goes_on->time = whole_milliseconds(pin.goes_on->time);
            pins.push_back(pin_value(pin));
        }
        set(m_part.section, "pins", JsonValue::array(std::move(pins)));
    }

    /// A begin that was bar 1 follows it, but not past what the part shows by itself; a lead before bar 1 stays.
    void set_from()
    {
        Section const& own = m_part.own();
        Time const begin = m_new.bars_from.value_or(m_tapped.pins.front().time);
        m_from = m_old.from.value_or(begin);
        bool const was_begin = own.pins.empty() || !m_old.bars_from || *m_old.from >= *m_old.bars_from - kSame;
        if (was_begin || *m_from > begin)
            m_from = begin;
        if (m_new.first_cue && *m_new.first_cue < *m_from)
            m_from = std::min(*m_from, own.from ? std::max(**own.from, *m_new.first_cue) : *m_new.first_cue);
        bool const says_it = own.from.has_value() || m_after.pins.empty();
        if (says_it && !(own.from && **own.from == *m_from))
            set_time(m_part.section, "from", *m_from);
        if (!own.from && !m_after.pins.empty() && m_new.bars_from && *m_from < *m_new.bars_from)
            set_time(m_part.section, "from", *m_from);
        end_before();
    }

    /// A part before ends where this one begins, where it touched it or now reaches into it with nothing to show.
    void end_before()
    {
        for (std::size_t n = 0; n < sections().size(); ++n) {
            PartTimes const other = part_times(sections()[n]);
            if (n == m_part.section || !other.to || !other.from || *other.from >= *m_from || *other.to == *m_from)
                continue;
            bool const touched = m_part.own().from && *other.to == **m_part.own().from;
            if ((touched || *other.to > *m_from) && other.shown_to() <= *m_from + kSame)
                set_time(n, "to", *m_from);
        }
    }

    std::optional<Time> next_begin() const
    {
        std::optional<Time> next;
        for (std::size_t n = 0; n < sections().size(); ++n) {
            auto const from = part_times(sections()[n]).from;
            if (n != m_part.section && from && *from > m_new.bars_from.value_or(*m_from) && (!next || *from < *next))
                next = from;
        }
        return next;
    }

    /// An end that was that of the bars follows it; any end lets the bars be played out, up to the next part.
    void set_to()
    {
        if (!m_old.to)
            return;
        Time const pulse = m_tapped.tempo ? m_tapped.tempo->pulse() : from_ticks(1, 2, 1);
        auto const next = next_begin();
        Time to = *m_old.to;
        if (m_new.bars_to) {
            bool const followed = m_old.bars_to && std::chrono::abs(*m_old.to - *m_old.bars_to) <= 2 * pulse;
            bool const is_early = *m_old.to < *m_new.bars_to;
            to = followed || is_early ? *m_new.bars_to : to;
            if (next && std::chrono::abs(*next - to) <= 2 * pulse && *next == *m_old.to)
                to = *next;
        } else if (to <= *m_from) {
            to += *m_from - m_old.from.value_or(*m_from);
        }
        if (m_new.last_cue)
            to = std::max(to, std::min(*m_new.last_cue, *m_old.to));
        if (next)
            to = std::min(to, *next);
        if (whole_milliseconds(to) != whole_milliseconds(*m_old.to) && to > *m_from)
            set_time(m_part.section, "to", to);
    }

    /// The tempo that holds for the part is also printed: one that is clearly another is set.
    void set_tempo()
    {
        if (!m_tapped.tempo)
            return;
        auto const& told = m_part.own().tempo;
        double const tempo = static_cast<double>(m_tapped.tempo->thousandths) / 1000;
        if (told && std::abs(tempo / (static_cast<double>((*told)->thousandths) / 1000) - 1) <= 0.02)
            return;
        if (*m_tapped.tempo >= Tempo{kSlowestTempo} && *m_tapped.tempo <= Tempo{kFastestTempo})
            set(m_part.section, "tempo", JsonValue::number(std::llround(tempo)));
    }

    void warn()
    {
        auto const goes_on = [](Pin const& pin) { return pin.goes_on.has_value(); };
        if (std::ranges::any_of(m_part.own().pins, goes_on) && std::ranges::none_of(m_after.pins, goes_on))
            m_result.warnings.push_back(
                "the pauses and skipped bars that its pins had were not tapped: they would be gone");
        Time const from = m_new.bars_from.value_or(*m_from);
        for (std::size_t n = 0; n < sections().size(); ++n) {
            PartTimes const other = part_times(sections()[n]);
            if (n != m_part.section && other.from)
                warn_of(n, other, from);
        }
    }

    void warn_of(std::size_t n, PartTimes const& other, Time from)
    {
        Time const begin = other.bars_from.value_or(*other.from);
        std::string const& name = *sections()[n].name;
        bool const earlier = n < m_part.section;
        if (begin < m_new.bars_to.value_or(from) - kSame && other.shown_to() > from + kSame)
            m_result.warnings.push_back(fmt::format("its bars and '{}' ({} to {}) are at the same time", name,
                                                    print_time(begin, 1), print_time(other.shown_to(), 1)));
        else if (bool const was_earlier = !m_old.from || (*other.from <= *m_old.from) == earlier;
                 was_earlier && (*other.from <= from) != earlier)
            m_result.warnings.push_back(fmt::format("it begins {} '{}' now, which comes {} it in the file",
                                                    earlier ? "before" : "after", name, earlier ? "before" : "after"));
    }

    JsonValue const& m_document;
    PartOfFile const& m_part;
    TappedPart const& m_tapped;
    PartTimes m_old;
    Section m_after;
    PartTimes m_new;
    std::optional<Time> m_from;
    TapEdits m_result;
};

} // namespace

TapEdits tap_edits(JsonValue const& document, PartOfFile const& part, TappedPart const& tapped)
{
    return Writer(document, part, tapped).write();
}

} // namespace tabard::pipeline
