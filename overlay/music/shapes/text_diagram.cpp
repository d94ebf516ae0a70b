#include "overlay/music/shapes/text_diagram.h"

#include "overlay/music/shapes/fret_window.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

constexpr int kMostRows = 6;

std::string finger_text(Shape const& shape, std::size_t string)
{
    int const finger = shape.fingers.empty() ? kNoFinger : shape.fingers[string];
    return finger == kNoFinger ? "●" : finger == kThumb ? "T" : std::to_string(finger);
}

/// Whether a barre at `fret` reaches from this string to the next.
bool joined(std::vector<Barre> const& barres, std::size_t string, int fret)
{
    auto const at = static_cast<int>(string);
    return std::ranges::any_of(barres, [&](Barre const& barre) {
        return barre.fret == fret && barre.first_string <= at && at < barre.last_string;
    });
}

std::string grid_line(std::size_t strings, std::string_view left, std::string_view middle, std::string_view right,
                      std::string_view between)
{
    std::string line{left};
    for (std::size_t i = 1; i < strings; ++i)
        line.append(between).append(i + 1 < strings ? middle : right);
    return line;
}

std::string marks_line(Shape const& shape)
{
    std::string line;
    for (int const fret : shape.frets)
        line += fret == kMuted ? "x " : fret == 0 ? "o " : "  ";
    line.pop_back();
    return line;
}

std::string fret_line(Shape const& shape, std::vector<Barre> const& barres, int fret)
{
    std::string line;
    for (std::size_t i = 0; i < shape.frets.size(); ++i) {
        bool const under_barre = joined(barres, i, fret) || (i > 0 && joined(barres, i - 1, fret));
        line += shape.frets[i] == fret ? finger_text(shape, i) : under_barre ? "━" : "│";
        if (i + 1 < shape.frets.size())
            line += joined(barres, i, fret) ? "━" : " ";
    }
    return line;
}

} // namespace

Shape mirrored(Shape const& shape)
{
    return {{shape.frets.rbegin(), shape.frets.rend()}, {shape.fingers.rbegin(), shape.fingers.rend()}};
}

std::vector<std::string> text_diagram(Shape const& given, bool left_handed)
{
    auto const shape = left_handed ? mirrored(given) : given;
    auto const strings = shape.frets.size();
    auto window = fret_window(shape);
    window.rows = std::min(window.rows, kMostRows);
    auto const barres = shape.barres();
    std::vector<std::string> lines{"   " + marks_line(shape)};
    lines.push_back(
        "   " + (window.first == 1 ? grid_line(strings, "╒", "╤", "╕", "═") : grid_line(strings, "┌", "┬", "┐", "─")));
    for (int row = 0; row < window.rows; ++row) {
        int const fret = window.first + row;
        auto const number = row == 0 && window.first > 1 ? fmt::format("{:>2} ", fret) : std::string("   ");
        lines.push_back(number + fret_line(shape, barres, fret));
        lines.push_back("   " + (row + 1 < window.rows ? grid_line(strings, "├", "┼", "┤", "─")
                                                       : grid_line(strings, "└", "┴", "┘", "─")));
    }
    return lines;
}

} // namespace tabard::overlay
