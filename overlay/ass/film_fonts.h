#pragma once
#include <cstddef>
#include <map>
#include <memory>
#include <string>
#include <vector>

typedef struct hb_face_t hb_face_t;
typedef struct _PangoFont PangoFont;

namespace tabard::overlay {

/// A font to go with a film.
struct FontFile {
    std::string file_name; ///< "letters-1.otf"
    std::string mime_type; ///< "font/otf" or "font/ttf" (RFC 8081)
    std::vector<std::byte> bytes;
};

/// The faces that the words of a film are set in, each with the letters that are used of it and no others. Each is a
/// family of its own: a player must not take another one of the same name, nor thicken or slant it. Its ascent and
/// descent are made to be one em together, four fifths above the baseline, so that players which size letters by
/// their ascent and descent give an em the size that is asked for. It has no rules for kerning or joined letters, which
/// some players follow and others do not. Move-only.
class FilmFonts {
public:
    static constexpr double kAscent = 0.8; ///< in parts of the em

    FilmFonts();
    FilmFonts(FilmFonts&&) noexcept;
    FilmFonts& operator=(FilmFonts&&) noexcept;
    ~FilmFonts();

    /// The number of a face that can go with a film, from 0; -1 for one that cannot: a variable font, letters thickened
    /// or slanted by the computer, a licence bit that forbids it, a file without outlines.
    int face_of(PangoFont* font);
    /// `letter` is shown with `face`.
    void use(int face, char32_t letter);

    int count() const;
    std::string family(int face) const; ///< as a style names it
    /// One file for each face. A face that cannot be cut down is left whole.
    std::vector<FontFile> files() const;

private:
    struct Face;
    std::vector<Face> m_faces;
    std::map<std::string, int> m_known; ///< by font file and number in it
};

} // namespace tabard::overlay
