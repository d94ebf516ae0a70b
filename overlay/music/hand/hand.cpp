#include "overlay/music/hand/hand.h"

#include "overlay/base/precondition.h"
#include "overlay/music/shapes/fingering.h"
#include "overlay/music/shapes/fret_window.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

constexpr double kEasyMm = 75;
constexpr double kFarthestMm = 130;

using Faults = std::vector<HandFault>;
using Kind = HandFault::Kind;

/// Fingers and strings that do not belong together, one by one.
void check_each_string(Shape const& shape, Tuning const& tuning, Faults& faults)
{
    for (std::size_t i = 0; i < shape.frets.size(); ++i) {
        bool const held = shape.frets[i] > 0;
        bool const finger = !shape.fingers.empty() && shape.fingers[i] != kNoFinger;
        if (held && !tuning.pitch(i, shape.frets[i]))
            faults.push_back({Kind::no_such_fret, i});
        if (finger && !held)
            faults.push_back({Kind::finger_without_fret, i, shape.fingers[i]});
        if (held && !finger && !shape.fingers.empty())
            faults.push_back({Kind::fret_without_finger, i});
    }
}

/// Each finger by itself: one place along the neck, and nothing lower under it.
void check_each_finger(Shape const& shape, Faults& faults)
{
    std::map<int, std::vector<std::size_t>> strings_of;
    for (std::size_t i = 0; i < shape.fingers.size(); ++i)
        if (shape.fingers[i] != kNoFinger && shape.frets[i] > 0)
            strings_of[shape.fingers[i]].push_back(i);
    for (auto const& [finger, strings] : strings_of) {
        int const fret = shape.frets[strings.front()];
        auto const elsewhere = std::ranges::find_if(strings, [&](std::size_t i) { return shape.frets[i] != fret; });
        if (elsewhere != strings.end()) {
            faults.push_back({Kind::finger_on_two_frets, *elsewhere, finger});
            continue;
        }
        for (auto i = strings.front(); i <= strings.back(); ++i)
            if (shape.frets[i] != kMuted && shape.frets[i] < fret)
                faults.push_back({Kind::barre_over_lower, i, finger});
    }
}

} // namespace

double fret_position_mm(int fret, double scale_mm) { return scale_mm - scale_mm / std::exp2(fret / 12.0); }

HandVerdict judge_hand(Shape const& shape, Tuning const& tuning, double scale_mm, int capo)
{
    PRECONDITION(shape.frets.size() == tuning.open_strings.size());
    HandVerdict verdict;
    FretRange const held = fret_range(shape);
    verdict.span_frets = held.span();
    verdict.span_mm = fret_position_mm(capo + held.highest, scale_mm) - fret_position_mm(capo + held.lowest, scale_mm);
    verdict.reach = verdict.span_mm <= kEasyMm       ? Reach::easy
                    : verdict.span_mm <= kFarthestMm ? Reach::stretch
                                                     : Reach::impossible;
    auto const fingers = shape.fingers.empty() ? assign_fingers(shape.frets) : shape.fingers;
    if (fingers.empty() && !shape.frets.empty())
        verdict.faults.push_back({Kind::not_enough_fingers});
    std::set<int> used(fingers.begin(), fingers.end());
    used.erase(kNoFinger);
    verdict.fingers = static_cast<int>(used.size());
    check_each_string(shape, tuning, verdict.faults);
    check_each_finger(shape, verdict.faults);
    return verdict;
}

std::string text_of(HandFault const& fault, Shape const& shape)
{
    auto const string = fmt::format("string {}", shape.frets.size() - fault.string);
    auto const finger = fault.finger == kThumb ? std::string("the thumb") : fmt::format("finger {}", fault.finger);
    switch (fault.kind) {
    case Kind::finger_without_fret:
        return fmt::format("{} is on {}, which is {}", finger, string,
                           shape.frets[fault.string] == kMuted ? "muted" : "open");
    case Kind::fret_without_finger:
        return fmt::format("no finger holds {} at fret {}", string, shape.frets[fault.string]);
    case Kind::finger_on_two_frets:
        return fmt::format("{} would be on two frets at once ({}, fret {})", finger, string, shape.frets[fault.string]);
    case Kind::barre_over_lower:
        return fmt::format("{} lies over {}, which is to sound {}", finger, string,
                           shape.frets[fault.string] == 0 ? "open"
                                                          : fmt::format("at fret {}", shape.frets[fault.string]));
    case Kind::not_enough_fingers:
        return "four fingers cannot hold these frets";
    case Kind::no_such_fret:
        return fmt::format("{} begins above fret {}", string, shape.frets[fault.string]);
    }
    return {};
}

std::string text_of(HandVerdict const& verdict)
{
    auto const reach = verdict.reach == Reach::easy      ? ""
                       : verdict.reach == Reach::stretch ? ", a stretch"
                                                         : ", out of reach";
    return fmt::format("{} finger{}, {:.0f} mm{}", verdict.fingers, verdict.fingers == 1 ? "" : "s", verdict.span_mm,
                       reach);
}

} // namespace tabard::overlay
