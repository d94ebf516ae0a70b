#pragma once
#include "overlay/drawing/box.h"
#include "overlay/drawing/canvas.h"
#include "overlay/drawing/chord_diagram.h"
#include "overlay/drawing/type.h"
#include "overlay/sheet/sheet.h"

#include <functional>
#include <string>
#include <vector>

// Setting blocks one under the other on pages. For this folder's .cpp files alone. All lengths in points (1/72 inch).
namespace tabard::overlay::sheet {

constexpr double kPointsPerMillimetre = 72 / 25.4;
constexpr double kMargin = 12 * kPointsPerMillimetre;

struct PageSize {
    double width;
    double height;
    double inner_width() const { return width - 2 * kMargin; }
};
PageSize page_size(Paper paper);

constexpr Colour kInk{0x11, 0x11, 0x11};
constexpr Colour kSoft{0x55, 0x55, 0x55}; ///< 7.46:1 on white (WCAG 2.x arithmetic)
constexpr Colour kLine{0x9A, 0x9A, 0x9A};
constexpr Colour kPaper{0xFF, 0xFF, 0xFF};

/// Sizes of type: `small` is the smallest there is on the page.
struct Sizes {
    double small;
    double body;
    double heading;
    double title;
    double chord;         ///< root of a chord name
    double finger_number; ///< in a diagram
    double unit;          ///< for distances: 1 in normal print
    double density = 1;   ///< below 1: distances are smaller so that fewer pages do
};
/// A raised accidental is the smallest piece of a chord name: 0.6 * 0.92 of its root.
constexpr double kSmallestSign = 1 / (0.6 * 0.92);
Sizes sizes(SheetOptions const& options);

/// What blocks need to measure and draw themselves.
struct Setting {
    cairo_t& cr;
    Type const& type;
    Sizes size;
    SheetOptions const& options;
    double width; ///< between the margins
    double u(double points) const { return points * size.unit * size.density; }
};

/// Something that is not to be torn apart: its height, and how it is drawn with its top-left corner at a point.
struct Block {
    double height = 0;
    std::function<void(Point)> draw;
    double space_before = 0;
    bool with_next = false; ///< stays on the page of the block after it: a heading
    std::string bookmark;   ///< names an entry of the outline
    char const* tag = "P";  ///< structure tag (ISO 32000-1, 14.8.4)
    int group = 0;          ///< blocks of one group are kept on one page where a page can hold them; 0: none
    std::string continued;  ///< drawn as a heading where a page begins inside the group
};

} // namespace tabard::overlay::sheet
