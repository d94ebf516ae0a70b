#include "overlay/music/hand/movement.h"

#include "overlay/music/shapes/fingering.h"

#include <algorithm>
#include <iterator>
#include <optional>
#include <set>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::overlay {
namespace {

std::vector<Hold> of_finger(std::vector<Hold> const& holds, int finger)
{
    std::vector<Hold> found;
    std::ranges::copy_if(holds, std::back_inserter(found), [&](Hold const& hold) { return hold.finger == finger; });
    return found;
}

std::vector<Hold> in_both(std::vector<Hold> const& a, std::vector<Hold> const& b)
{
    std::vector<Hold> shared;
    std::ranges::copy_if(a, std::back_inserter(shared),
                         [&](Hold const& hold) { return std::ranges::find(b, hold) != b.end(); });
    return shared;
}

FingerMove::Kind kind_of(std::vector<Hold> const& from, std::vector<Hold> const& to)
{
    if (from.empty())
        return FingerMove::Kind::lands;
    if (to.empty())
        return FingerMove::Kind::lifts;
    if (!in_both(from, to).empty())
        return FingerMove::Kind::stays;
    bool const same_string = std::ranges::any_of(from, [&](Hold const& hold) {
        return std::ranges::any_of(to, [&](Hold const& other) { return other.string == hold.string; });
    });
    return same_string ? FingerMove::Kind::slides : FingerMove::Kind::moves;
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
    for (int finger = 1; finger <= kThumb; ++finger) {
        auto const was = of_finger(before, finger);
        auto const is = of_finger(after, finger);
        if (!was.empty() || !is.empty())
            moves.push_back({finger, kind_of(was, is)});
    }
    return moves;
}

std::vector<int> strings_that_stay(Shape const& from, Shape const& to)
{
    std::vector<int> strings;
    for (auto const& hold : in_both(holds_of(from), holds_of(to)))
        strings.push_back(hold.string);
    return strings;
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
