#pragma once
#include "overlay/base/result.h"
#include "overlay/drawing/colour.h"

#include <compare>
#include <string>
#include <string_view>

namespace tabard::overlay {

/// How the overlays look: the contents of a file in templates/themes. A value; compare with ==.
/// Colours are named by what they are for, so that a theme can be judged by its contrasts alone.
struct Theme {
    std::string name = "Light card";
    std::string font = "Inter";         ///< a family; signs it lacks come from DejaVu Sans
    double corner_radius = 18;          ///< of a card, in 1/1080 of the height of 16:9
    Colour card{0xFC, 0xFA, 0xF6};      ///< the plate under everything
    Colour edge{0x8A, 0x83, 0x77};      ///< line round a card, seen on a white wall
    Colour ink{0x1B, 0x1A, 0x17};       ///< names, numbers
    Colour soft_ink{0x5C, 0x57, 0x4E};  ///< labels, counts
    Colour line{0x8A, 0x83, 0x77};      ///< frets, bar lines, rules
    Colour string{0x6E, 0x67, 0x5B};    ///< strings of the diagram
    Colour dot{0x1B, 0x1A, 0x17};       ///< a fretting finger
    Colour on_dot{0xFF, 0xFF, 0xFF};    ///< its number
    Colour accent{0xB4, 0x3A, 0x12};    ///< what sounds now, what stays
    Colour on_accent{0xFF, 0xFF, 0xFF}; ///< text on accent
    Colour capo{0x3E, 0x62, 0x78};      ///< the capo, made of another stuff than fingers
    Colour on_capo{0xFF, 0xFF, 0xFF};   ///< its number, and what stands over the strings that it holds
    /// Laid over the card to mark a place that is current.
    Colour tint() const { return {accent.red, accent.green, accent.blue, 30}; }
    friend auto operator<=>(Theme const&, Theme const&) = default;
};

/// The theme that is used where nobody chose one: the light card.
Theme default_theme();

/// The contrast that text needs: WCAG 2.x, success criterion 1.4.3 (AA).
constexpr double kLeastTextContrast = 4.5;

/// Reads the JSON text of a theme file. Keys that are not there keep the value of default_theme(). Fails with
/// invalid_input on broken JSON, an unknown key, a colour that is none, or text that would stand on its card with
/// less contrast than it needs over any footage; the message names the key. A card that lets footage through may be
/// legible over some of it alone: then the footage decides.
Result<Theme> parse_theme(std::string_view json);

/// The lowest contrast of any text of `theme` to what it stands on, over the worst footage that may be behind the card.
double lowest_text_contrast(Theme const& theme);

} // namespace tabard::overlay
