#include "pipeline/render/overlay_events.h"

#include "overlay/ass/script.h"
#include "pipeline/timeline/layer_track.h"

#include <algorithm>
#include <map>
#include <optional>
#include <tuple>
#include <utility>

namespace tabard::pipeline {
namespace {

using overlay::CardElement;
using overlay::kFullLevel;

/// Where a kind of card stands: there is one at a time.
using Slot = std::pair<std::size_t, std::optional<overlay::Corner>>;

/// A slot from when it is filled until it is empty again.
struct Stretch {
    Time in;
    Time out;
    std::vector<std::pair<Time, int>> levels; ///< from when on, which one

    int level_at(Time time) const
    {
        auto const next = std::ranges::upper_bound(levels, time, {}, &std::pair<Time, int>::first);
        return next == levels.begin() ? 0 : std::prev(next)->second;
    }
};

/// An element over the time that it is there.
struct Shown {
    CardElement const* element;
    int lifted; ///< added to its depth
    Time in;
    Time out;
    std::size_t stretch; ///< in which
};

/// How far a plate is lifted over things that stay below it, with all that lies over it.
constexpr int kLift = 16;

/// The elements of one slot over the whole film.
class SlotElements {
public:
    void show(SceneRun const& run, int level, std::vector<CardElement const*> const& elements)
    {
        if (m_stretches.empty() || m_stretches.back().out != run.in) {
            m_stretches.push_back({run.in, run.out, {}});
            m_open.clear();
        }
        Stretch& stretch = m_stretches.back();
        stretch.out = run.out;
        if (stretch.levels.empty() || stretch.levels.back().second != level)
            stretch.levels.emplace_back(run.in, level);
        Open open;
        std::vector<int> lifts(elements.size());
        if (level == kFullLevel) // what fades would let through what it covers
            lifts = keep_hidden(elements, run, open);
        for (std::size_t i = 0; i < elements.size(); ++i)
            open.emplace(Placed{elements[i], lifts[i]}, extended({elements[i], lifts[i]}, run));
        m_open = std::move(open);
    }

    std::vector<Shown> const& all() const { return m_all; }
    Stretch const& stretch(Shown const& shown) const { return m_stretches[shown.stretch]; }

private:
    using Placed = std::pair<CardElement const*, int>; ///< and how far it is lifted
    using Open = std::map<Placed, std::size_t>;        ///< indices into m_all

    // The same element of the run before lives on.
    std::size_t extended(Placed const& placed, SceneRun const& run)
    {
        if (auto const before = m_open.find(placed); before != m_open.end()) {
            m_all[before->second].out = run.out;
            return before->second;
        }
        m_all.push_back({placed.first, placed.second, run.in, run.out, m_stretches.size() - 1});
        return m_all.size() - 1;
    }

    // What a plate covers for a while (a stroke that sounds is a plate with its signs) stays below it, instead of going
    // and coming. Gives how far each element is lifted.
    std::vector<int> keep_hidden(std::vector<CardElement const*> const& elements, SceneRun const& run, Open& hidden)
    {
        std::vector<int> lifts(elements.size());
        for (auto const& [placed, index] : m_open) {
            if (placed.second > 0 || std::ranges::find(elements, placed.first) != elements.end())
                continue;
            auto const plate = std::ranges::find_if(elements, [&](CardElement const* element) {
                return element->colour.alpha == 255 && covers(element->area, placed.first->bounds);
            });
            if (plate == elements.end())
                continue;
            lifts[static_cast<std::size_t>(plate - elements.begin())] = kLift;
            m_all[index].out = run.out;
            hidden.emplace(placed, index);
        }
        for (std::size_t i = 0; i < elements.size(); ++i)
            for (std::size_t below = 0; below < i; ++below)
                if (lifts[below] > 0 && elements[i]->bounds.meets(elements[below]->bounds))
                    lifts[i] = kLift;
        return lifts;
    }

    std::vector<Stretch> m_stretches;
    std::vector<Shown> m_all;
    Open m_open; ///< of the last run
};

double opacity(int level) { return static_cast<double>(level) / kFullLevel; }

/// How an element that is there over [in, out) fades with its slot.
overlay::EventFade fade_of(Shown const& shown, Stretch const& stretch, PictureStamps const& stamps)
{
    std::int64_t const begin = stamps.change_at(shown.in);
    overlay::EventFade fade;
    fade.end = static_cast<int>(stamps.change_at(shown.out) - begin);
    fade.full_until = fade.end;
    fade.low_in = opacity(stretch.level_at(shown.in));
    bool full = fade.low_in >= 1;
    for (auto const& [from, level] : stretch.levels) {
        if (from <= shown.in || from >= shown.out)
            continue;
        if (level == kFullLevel && !full) {
            fade.full_from = static_cast<int>(stamps.change_at(from) - begin);
            full = true;
        } else if (level < kFullLevel && full && fade.low_out >= 1) {
            // A step's length before the first lower level, but not before the last picture in full.
            std::int64_t const earliest =
                std::max(stamps.picture_before(from), stamps.change_at(from) - to_ticks(kFadeStep, 1, 1000));
            fade.full_until = static_cast<int>(std::max<std::int64_t>(earliest - begin, fade.full_from));
            fade.low_out = shown.out == stretch.out ? 0 : opacity(stretch.level_at(shown.out));
        }
    }
    return fade;
}

/// What stands in one event: areas of one colour and depth that come and go together, or one line of words.
using EventKey = std::tuple<std::int64_t, std::int64_t, int, overlay::Colour, std::optional<std::size_t>>;

constexpr int kDepths = 2 * kLift; ///< of one slot, more than any card has

void add_events(SlotElements const& slot, int lowest_layer, PictureStamps const& stamps,
                std::map<std::tuple<std::int64_t, int, std::size_t>, AddedCaptions::Event>& events)
{
    std::map<EventKey, std::vector<Shown const*>> together;
    std::vector<EventKey> order;
    for (std::size_t i = 0; i < slot.all().size(); ++i) {
        Shown const& shown = slot.all()[i];
        std::optional<std::size_t> const alone = shown.element->area.empty() ? std::optional(i) : std::nullopt;
        EventKey const key{stamps.change_at(shown.in), stamps.change_at(shown.out),
                           std::min(shown.element->depth, kLift - 1) + shown.lifted, shown.element->colour, alone};
        auto& group = together[key];
        if (group.empty())
            order.push_back(key);
        group.push_back(&shown);
    }
    for (EventKey const& key : order) {
        auto const& group = together[key];
        Shown const& first = *group.front();
        std::vector<CardElement const*> elements;
        for (Shown const* shown : group)
            elements.push_back(shown->element);
        std::string const text = overlay::event_text(elements, fade_of(first, slot.stretch(first), stamps));
        auto const [in, out, depth, colour, alone] = key;
        int const layer = lowest_layer + depth;
        events.emplace(std::tuple{in, layer, events.size()},
                       AddedCaptions::Event{from_ticks(in, 1, 1000), from_ticks(out, 1, 1000),
                                            overlay::event_fields(layer, *first.element, text)});
    }
}

} // namespace

std::vector<AddedCaptions::Event> overlay_events(SceneRuns const& runs, PictureStamps const& stamps,
                                                 overlay::CardScribe const& scribe, overlay::CardScribe::Hand hand)
{
    std::map<Slot, SlotElements> slots;
    for (SceneRun const& run : runs.all()) {
        for (overlay::Layer const& layer : run.scene.layers) {
            Slot const slot{layer.content.index(), layer.corner};
            slots[slot].show(run, layer.level, scribe.elements(layer.content, layer.corner, hand));
        }
    }
    std::map<std::tuple<std::int64_t, int, std::size_t>, AddedCaptions::Event> sorted;
    for (auto const& [slot, elements] : slots)
        add_events(elements, static_cast<int>(slot.first) * kDepths, stamps, sorted);
    std::vector<AddedCaptions::Event> events;
    for (auto& [place, event] : sorted) {
        event.fields = std::to_string(events.size()) + "," + event.fields;
        events.push_back(std::move(event));
    }
    return events;
}

} // namespace tabard::pipeline
