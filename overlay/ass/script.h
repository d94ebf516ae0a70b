#pragma once
#include "overlay/ass/card_scribe.h"

#include <span>
#include <string>

// Texts of Advanced SubStation Alpha, as Matroska carries them: a header once for a track, and for each event the
// fields after its times.
namespace tabard::overlay {

/// How an event comes and goes, in milliseconds since its beginning: at `low` of its opacity at first, in full from
/// `full_from` to `full_until`, at `low` again at `end`.
struct EventFade {
    int full_from = 0;
    int full_until = 0;
    int end = 0;
    double low_in = 1; ///< 1: it is there at once
    double low_out = 1;
};

/// The header of a track: the size that its coordinates count in, and a style for each face.
std::string script_header(std::string const& title, int width, int height, FilmFonts const& fonts);

/// The tags and the text that show `elements`: one that is words, or any number of areas of one colour and depth.
std::string event_text(std::span<CardElement const* const> elements, EventFade const& fade);

/// The fields of an event after its number: its layer (a larger one lies over the others), style, margins and text.
std::string event_fields(int layer, CardElement const& element, std::string const& text);

} // namespace tabard::overlay
