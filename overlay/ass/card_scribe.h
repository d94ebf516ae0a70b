#pragma once
#include "overlay/ass/film_fonts.h"
#include "overlay/ass/vector_path.h"
#include "overlay/base/result.h"
#include "overlay/drawing/scene.h"
#include "overlay/drawing/stage.h"
#include "overlay/drawing/theme.h"

#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

namespace tabard::overlay {

/// Words on one line. They stay words: the font comes with the film. Players differ in whether they kern, so the
/// letters say it themselves.
struct FilmWords {
    struct Letter {
        std::string text; ///< one character
        double kern = 0;  ///< added to what its glyph alone advances, in display pixels before stretching
        friend auto operator<=>(Letter const&, Letter const&) = default;
    };
    std::vector<Letter> letters;
    int face = 0;       ///< of FilmFonts
    PathPoint start;    ///< of the baseline, at the first letter
    double size = 0;    ///< of the em, in display pixels
    double stretch = 1; ///< of the letters' width
    friend auto operator<=>(FilmWords const&, FilmWords const&) = default;
};

/// One thing of a card in one colour: an area, or words. Of things that meet, the one of the larger depth lies over
/// the other; things of one depth do not meet.
struct CardElement {
    int depth = 0;
    Colour colour;
    VectorPath area; ///< empty: words
    FilmWords words;
    PathBounds bounds; ///< with the pixel beside its edges
    friend auto operator<=>(CardElement const&, CardElement const&) = default;
};

/// Draws cards as elements, with the code that paints them. Coordinates are display pixels of the stage. Move-only; one
/// thread at a time.
class CardScribe {
public:
    /// `fonts` is borrowed. Errors: as Painter::create().
    static Result<CardScribe> create(Stage stage, Theme theme, FilmFonts& fonts);

    /// Back to front. Equal contents give equal elements. Valid as long as this is.
    std::vector<CardElement> const& elements(LayerContent const& content, std::optional<Corner> corner);

    /// Letters that could not be noted down: their font has pictures in place of outlines.
    std::set<std::string> const& lost_letters() const { return m_lost; }
    /// As Painter::failure().
    std::optional<Error> const& failure() const { return m_failure; }

private:
    CardScribe(Stage stage, Theme theme, FilmFonts& fonts);
    std::vector<CardElement> draw(LayerContent const& content, Corner corner);

    Stage m_stage;
    Theme m_theme;
    FilmFonts* m_fonts;
    std::map<std::pair<LayerContent, Corner>, std::vector<CardElement>> m_drawn;
    std::set<std::string> m_lost;
    std::optional<Error> m_failure;
};

} // namespace tabard::overlay
