#include "overlay/music/hand/movement.h"

#include "overlay/music/shapes/fingering.h"

#include <algorithm>
#include <cstdlib>
#include <iterator>
#include <optional>
#include <set>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::overlay {
namespace {

std::vector<Hold> in_both(std::vector<Hold> const& a, std::vector<Hold> const& b)
{
    std::vector<Hold> shared;
    std::ranges::copy_if(a, std::back_inserter(shared),
                         [&](Hold const& hold) { return std::ranges::find(b, hold) != b.end(); });
    return shared;
}

/// None where the finger has nothing to do in either.
std::optional<FingerMove::Kind> kind_of(int finger, std::vector<Hold> const& before, std::vector<Hold> const& after)
{
    bool was = false;
    bool is = false;
    bool stays = false;
    bool same_string = false;
    for (auto const& to : after)
        is = is || to.finger == finger;
    for (auto const& from : before) {
        if (from.finger != finger)
            continue;
        was = true;
        for (auto const& to : after) {
            stays = stays || to == from;
            same_string = same_string || (to.finger == finger && to.string == from.string);
        }
    }
    if (!was)
        return is ? std::optional{FingerMove::Kind::lands} : std::nullopt;
    return !is           ? FingerMove::Kind::lifts
           : stays       ? FingerMove::Kind::stays
           : same_string ? FingerMove::Kind::slides
                         : FingerMove::Kind::moves;
}

int cost_of(FingerMove::Kind kind)
{
    switch (kind) {
    case FingerMove::Kind::stays:
    case FingerMove::Kind::lifts:
        return 0;
    case FingerMove::Kind::slides:
        return 3;
    case FingerMove::Kind::moves:
    case FingerMove::Kind::lands:
        return 4;
    }
    return 0;
}

/// The fret where the index is, or would be, a finger a fret; none for open strings alone.
std::optional<int> place_of_hand(std::vector<Hold> const& holds)
{
    auto const lowest = std::ranges::min_element(holds);
    if (lowest == holds.end() || lowest->finger == kThumb)
        return std::nullopt;
    return std::max(1, lowest->fret - (lowest->finger - 1));
}

/// "2", "1 and 2", "1, 2 and 3"; `thumb` is the number that stands for it.
std::string listed(std::vector<int> const& numbers, std::optional<int> thumb = std::nullopt)
{
    std::string text;
    std::size_t left = numbers.size();
    for (int const number : numbers) {
        text += number == thumb ? "T" : std::to_string(number);
        --left;
        text += left > 1 ? ", " : left == 1 ? " and " : "";
    }
    return text;
}

void add_once(std::vector<int>& numbers, int number)
{
    if (std::ranges::find(numbers, number) == numbers.end())
        numbers.push_back(number);
}

} // namespace

std::vector<Hold> holds_of(Shape const& shape)
{
    auto const fingers = shape.fingers.empty() ? assign_fingers(shape.frets) : shape.fingers;
    std::vector<Hold> holds;
    for (std::size_t i = 0; i < fingers.size(); ++i)
        if (fingers[i] != kNoFinger && shape.frets[i] > 0)
            holds.push_back({fingers[i], static_cast<int>(i), shape.frets[i]});
    return holds;
}

std::vector<FingerMove> moves_between(Shape const& from, Shape const& to)
{
    auto const before = holds_of(from);
    auto const after = holds_of(to);
    std::vector<FingerMove> moves;
    for (int finger = 1; finger <= kThumb; ++finger)
        if (auto const kind = kind_of(finger, before, after))
            moves.push_back({finger, *kind});
    return moves;
}

std::vector<int> strings_that_stay(Shape const& from, Shape const& to)
{
    std::vector<int> strings;
    for (auto const& hold : in_both(holds_of(from), holds_of(to)))
        strings.push_back(hold.string);
    return strings;
}

int movement_cost(std::vector<Hold> const& before, std::vector<Hold> const& after)
{
    int cost = 0;
    int staying = 0;
    for (int finger = 1; finger <= kThumb; ++finger)
        if (auto const kind = kind_of(finger, before, after)) {
            cost += cost_of(*kind);
            staying += *kind == FingerMove::Kind::stays ? 1 : 0;
        }
    auto const from = place_of_hand(before);
    auto const to = place_of_hand(after);
    int const way = from && to ? std::abs(*to - *from) : 0;
    return std::max(0, cost + way - 4 * std::max(0, staying - 1));
}

std::string moves_text(Shape const& from, Shape const& to)
{
    std::vector<int> stay;
    std::vector<int> slide;
    for (auto const& move : moves_between(from, to)) {
        if (move.kind == FingerMove::Kind::stays)
            stay.push_back(move.finger);
        if (move.kind == FingerMove::Kind::slides)
            slide.push_back(move.finger);
    }
    auto const said = [](std::vector<int> const& fingers, char const* one, char const* several) {
        return fmt::format("finger{} {} {}", fingers.size() == 1 ? "" : "s", listed(fingers, kThumb),
                           fingers.size() == 1 ? one : several);
    };
    if (stay.empty() && slide.empty())
        return "no finger stays";
    if (slide.empty())
        return said(stay, "stays", "stay");
    return (stay.empty() ? "" : said(stay, "stays", "stay") + ", ") + said(slide, "slides", "slide");
}

std::vector<Hold> anchor_of(std::vector<Shape> const& shapes)
{
    if (std::set<Shape>(shapes.begin(), shapes.end()).size() < 2)
        return {};
    auto shared = holds_of(shapes.front());
    for (auto const& shape : shapes)
        shared = in_both(shared, holds_of(shape));
    return shared;
}

std::string anchor_text(std::vector<Hold> const& anchor, int strings)
{
    if (anchor.empty())
        return "";
    auto by_finger = anchor;
    std::ranges::sort(by_finger);
    std::vector<int> fingers;
    std::vector<int> on;
    std::vector<int> frets;
    for (auto const& hold : by_finger) {
        add_once(fingers, hold.finger);
        add_once(on, strings - hold.string);
        add_once(frets, hold.fret);
    }
    auto const plural = [](std::vector<int> const& numbers) { return numbers.size() == 1 ? "" : "s"; };
    return fmt::format("keep finger{} {} on string{} {} (fret{} {})", plural(fingers), listed(fingers, kThumb),
                       plural(on), listed(on), plural(frets), listed(frets));
}

} // namespace tabard::overlay
