#include "overlay/music/shapes/fingering.h"

#include <algorithm>
#include <optional>

namespace tabard::overlay {
namespace {

using Strings = std::vector<std::size_t>;

/// Fretted strings, lowest fret first, then in the order of the strings.
Strings fretted_in_order(std::vector<int> const& frets)
{
    Strings strings;
    for (std::size_t i = 0; i < frets.size(); ++i)
        if (frets[i] > 0)
            strings.push_back(i);
    std::ranges::stable_sort(strings, {}, [&](std::size_t i) { return frets[i]; });
    return strings;
}

/// Whether one finger at `fret` can lie from the first to the last of `strings`.
bool can_lie(std::vector<int> const& frets, std::size_t first, std::size_t last, int fret)
{
    for (auto i = first; i <= last; ++i)
        if (frets[i] != kMuted && frets[i] < fret)
            return false;
    return true;
}

/// Gives `strings` fingers from `first_finger` up, leaving a finger free for each empty fret between where that is
/// possible. Strings that share a fret and `joined` share a finger.
bool give_fingers(std::vector<int> const& frets, Strings const& strings, int first_finger, int base_fret, bool joined,
                  std::vector<int>& fingers)
{
    std::vector<Strings> groups;
    for (auto const i : strings) {
        bool const joins = joined && !groups.empty() && frets[groups.back().back()] == frets[i] &&
                           can_lie(frets, groups.back().front(), i, frets[i]);
        if (joins)
            groups.back().push_back(i);
        else
            groups.push_back({i});
    }
    int finger = first_finger - 1;
    auto left = static_cast<int>(groups.size());
    for (auto const& group : groups) {
        int const by_fret = frets[group.front()] - base_fret + 1;
        finger = std::max(finger + 1, std::min(by_fret, 5 - left));
        --left;
        // Ring and little finger flatten over neighbours; the middle finger does not, and the index only as a barre.
        if (finger > 4 || (group.size() > 1 && finger < 3))
            return false;
        for (auto const i : group)
            fingers[i] = finger;
    }
    return true;
}

std::optional<std::vector<int>> with_index_barre(std::vector<int> const& frets, Strings const& strings, bool joined)
{
    int const fret = frets[strings.front()];
    auto const above = std::ranges::find_if(strings, [&](std::size_t i) { return frets[i] > fret; });
    auto const last = *(above - 1);
    if (above - strings.begin() < 2 || !can_lie(frets, strings.front(), last, fret))
        return std::nullopt;
    std::vector<int> fingers(frets.size(), kNoFinger);
    std::for_each(strings.begin(), above, [&](std::size_t i) { fingers[i] = 1; });
    if (!give_fingers(frets, {above, strings.end()}, 2, fret, joined, fingers))
        return std::nullopt;
    return fingers;
}

} // namespace

std::vector<int> assign_fingers(std::vector<int> const& frets)
{
    auto const strings = fretted_in_order(frets);
    std::vector<int> fingers(frets.size(), kNoFinger);
    if (strings.empty())
        return fingers;
    int const base = frets[strings.front()];
    if (strings.size() <= 3 && give_fingers(frets, strings, 1, base, false, fingers))
        return fingers;
    for (bool const joined : {false, true})
        if (auto const barre = with_index_barre(frets, strings, joined))
            return *barre;
    for (bool const joined : {false, true}) {
        std::ranges::fill(fingers, kNoFinger);
        if (give_fingers(frets, strings, 1, base, joined, fingers))
            return fingers;
    }
    return {};
}

void lay_barres(Shape& shape, std::vector<Barre> const& barres)
{
    auto& fingers = shape.fingers;
    fingers.resize(shape.frets.size(), kNoFinger);
    bool const said = std::ranges::count(fingers, kNoFinger) < static_cast<std::ptrdiff_t>(fingers.size());
    auto const is_free = [&](int finger) { return std::ranges::find(fingers, finger) == fingers.end(); };
    auto by_fret = barres;
    std::ranges::sort(by_fret, {}, &Barre::fret);
    for (auto const& barre : by_fret) {
        Strings under;
        int finger = kNoFinger;
        for (int i = barre.first_string; i <= barre.last_string; ++i)
            if (auto const string = static_cast<std::size_t>(i); shape.frets[string] == barre.fret) {
                under.push_back(string);
                finger = finger == kNoFinger ? fingers[string] : finger;
            }
        for (int one = 1; one <= 4 && finger == kNoFinger; ++one)
            finger = is_free(one) ? one : kNoFinger;
        for (auto const string : under)
            if (fingers[string] == kNoFinger)
                fingers[string] = finger;
    }
    if (said || barres.empty())
        return;
    for (auto const string : fretted_in_order(shape.frets)) {
        int const first = fingers[string] == kNoFinger ? 1 : 5;
        for (int one = first; one <= 4 && fingers[string] == kNoFinger; ++one)
            fingers[string] = is_free(one) ? one : kNoFinger;
    }
}

} // namespace tabard::overlay
