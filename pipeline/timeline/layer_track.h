#pragma once
#include "overlay/music/meter.h"
#include "pipeline/time/time.h"

#include <cstddef>
#include <functional>
#include <optional>
#include <variant>
#include <vector>

namespace tabard::pipeline {

/// What a layer shows over a stretch of time. `chord`, `strum`, `text` and `section` are indices into the lists of
/// Spans.
struct CapoItem {
    std::size_t section = 0;
};
struct BarItem {
    std::size_t section = 0;
    int bar = 1;              ///< of the chart, from 1
    std::optional<int> pulse; ///< in the bar, from 0; none before the first beat
};
struct StrumItem {
    std::size_t strum = 0;
    std::optional<int> lit_step;
    int bass_string = 0; ///< of the chord that sounds; 0 where the pattern plucks none
    std::optional<int> next_stroke;
    bool silent = false; ///< no chord sounds
};
struct ChordItem {
    std::size_t chord = 0;
    bool last_pulse = false; ///< the hand is about to move to the next one
};
struct NextChordItem {
    std::size_t chord = 0;
    std::size_t before = 0; ///< the chord that it follows
    int pulses_left = 0;
    int pulses = 0;                  ///< that the chord before lasts
    overlay::GroupStarts groups = 0; ///< of the pulses, as in overlay::NextChordCard
};
struct TextItem {
    std::size_t text = 0;
};
struct BannerItem {
    std::size_t section = 0;
};
struct CountInItem {
    std::size_t section = 0;
    int pulse = 0; ///< since the count began, from 0
    overlay::Meter meter;
};
using LayerItem =
    std::variant<CapoItem, BarItem, StrumItem, ChordItem, NextChordItem, TextItem, BannerItem, CountInItem>;

/// A stretch of time over which one layer of the scene shows one item.
struct LayerSpan {
    Time in{0};
    Time out{0};
    LayerItem item;
};

/// One layer of the scene over the whole film: its spans, and how it fades where nothing stands before or after them.
/// A fade in comes before its span, where there is room for it: at its in-point a span is there in full. A span that
/// another follows at once gives way without a fade, so a change of chord does not flicker.
class LayerTrack {
public:
    LayerTrack() = default;
    /// Sorts the spans; where two overlap the later one cuts the earlier one short. `room_from` says from when on a
    /// span may fade in.
    LayerTrack(std::vector<LayerSpan> spans, std::function<Time(LayerSpan const&)> const& room_from);

    LayerSpan const* at(Time time) const; ///< null where the layer is empty
    /// Of kFullLevel, for a time at which there is a span.
    int level_at(Time time) const;
    void add_change_instants(std::vector<Time>& instants) const;

private:
    /// Spans without a gap between them.
    struct Run {
        Time fade_from; ///< `in` where there is no room
        Time in;
        Time out;
        bool fades() const;
    };
    std::vector<LayerSpan> m_spans; ///< the first of a run from its fade on
    std::vector<Run> m_runs;
};

/// A fade has three steps of this length below the full level.
constexpr int kFadeSteps = 3;
constexpr Time kFadeStep{kFlicksPerSecond / 20};
constexpr Time kFadeLength = kFadeSteps * kFadeStep;

} // namespace tabard::pipeline
