#pragma once
#include "overlay/ass/film_fonts.h"
#include "overlay/ass/vector_path.h"
#include "overlay/base/result.h"
#include "overlay/drawing/scene.h"
#include "overlay/drawing/stage.h"
#include "overlay/drawing/theme.h"

#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <tuple>
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
/// thread at a time draws.
class CardScribe {
public:
    enum class Hand { right, left };

    /// Of `stage` the hand plays no part. `fonts` is borrowed. Errors: as Painter::create().
    static Result<CardScribe> create(Stage stage, Theme theme, FilmFonts& fonts);
    CardScribe(CardScribe&&) noexcept;
    CardScribe& operator=(CardScribe&&) noexcept;
    ~CardScribe();

    /// A card that was drawn before is not drawn again; one without a diagram is the same for both hands.
    void draw(LayerContent const& content, std::optional<Corner> corner, Hand hand);
    /// Of a card that was drawn, back to front. Equal elements are one, whatever they are of. Valid as long as this is.
    /// Several threads may ask while none draws.
    std::vector<CardElement const*> const& elements(LayerContent const& content, std::optional<Corner> corner,
                                                    Hand hand) const;

    /// Letters that could not be noted down: their font has pictures in place of outlines.
    std::set<std::string> const& lost_letters() const { return m_lost; }
    /// As Painter::failure().
    std::optional<Error> const& failure() const { return m_failure; }

private:
    CardScribe(Stage stage, Theme theme, FilmFonts& fonts);
    using Key = std::tuple<LayerContent, Corner, Hand>;
    Key key_of(LayerContent const& content, std::optional<Corner> corner, Hand hand) const;
    std::vector<CardElement const*> recorded(LayerContent const& content, Stage const& placed);

    struct Pen;
    Stage m_stage;
    Theme m_theme;
    std::unique_ptr<Pen> m_pen;
    std::set<CardElement> m_elements;
    std::map<Key, std::vector<CardElement const*>> m_drawn;
    std::set<std::string> m_lost;
    std::optional<Error> m_failure;
};

} // namespace tabard::overlay
