// Fonts that go with a film, read again with HarfBuzz.
#include "overlay/ass/film_fonts.h"

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>

#include <gtest/gtest.h>
#include <hb-ot.h>
#include <pango/pangocairo.h>

namespace tabard::overlay {
namespace {

struct Font {
    explicit Font(char const* description)
    {
        PangoFontDescription* const wanted = pango_font_description_from_string(description);
        PangoContext* const context = pango_font_map_create_context(pango_cairo_font_map_get_default());
        font = pango_font_map_load_font(pango_cairo_font_map_get_default(), context, wanted);
        g_object_unref(context);
        pango_font_description_free(wanted);
    }
    Font(Font const&) = delete;
    Font& operator=(Font const&) = delete;
    ~Font() { g_object_unref(font); }
    PangoFont* font;
};

using Face = std::unique_ptr<hb_face_t, decltype(&hb_face_destroy)>;

Face face_in(FontFile const& file)
{
    hb_blob_t* const blob =
        hb_blob_create(reinterpret_cast<char const*>(file.bytes.data()), static_cast<unsigned>(file.bytes.size()),
                       HB_MEMORY_MODE_READONLY, nullptr, nullptr);
    Face face{hb_face_create(blob, 0), hb_face_destroy};
    hb_blob_destroy(blob);
    return face;
}

int number_in(hb_face_t* face, char const* table, std::size_t at)
{
    hb_blob_t* const blob = hb_face_reference_table(face, hb_tag_from_string(table, -1));
    unsigned length = 0;
    auto const* const data = reinterpret_cast<unsigned char const*>(hb_blob_get_data(blob, &length));
    int const number = at + 1 < length ? static_cast<std::int16_t>(data[at] << 8 | data[at + 1]) : 0;
    hb_blob_destroy(blob);
    return number;
}

std::string family_in(hb_face_t* face)
{
    char name[100];
    unsigned size = sizeof name;
    hb_ot_name_get_utf8(face, HB_OT_NAME_ID_FONT_FAMILY, HB_LANGUAGE_INVALID, &size, name);
    return std::string(name, size);
}

TEST(FilmFonts, HoldTheLettersThatAreUsedAndNoOthers)
{
    FilmFonts fonts;
    Font const bold("Inter Bold 20");
    int const face = fonts.face_of(bold.font);
    ASSERT_EQ(face, 0);
    for (char32_t const letter : std::u32string_view(U"Am7Am"))
        fonts.use(face, letter);
    auto const files = fonts.files();
    ASSERT_EQ(files.size(), 1u);
    EXPECT_EQ(files[0].mime_type, "font/otf");
    EXPECT_LT(files[0].bytes.size(), 4000u);
    auto const read = face_in(files[0]);
    EXPECT_EQ(hb_face_get_glyph_count(read.get()), 4u); // A, m, 7 and the one for letters that are missing
    hb_font_t* const font = hb_font_create(read.get());
    hb_font_t* const whole = hb_font_create(hb_font_get_face(pango_font_get_hb_font(bold.font)));
    for (hb_codepoint_t const letter : {'A', 'm', '7', 'B'}) {
        hb_codepoint_t glyph = 0;
        hb_codepoint_t original = 0;
        EXPECT_EQ(hb_font_get_nominal_glyph(font, letter, &glyph) != 0, letter != 'B');
        ASSERT_TRUE(hb_font_get_nominal_glyph(whole, letter, &original));
        if (letter != 'B') {
            EXPECT_EQ(hb_font_get_glyph_h_advance(font, glyph), hb_font_get_glyph_h_advance(whole, original));
        }
    }
    hb_font_destroy(font);
    hb_font_destroy(whole);
}

// Offsets in the tables: ISO/IEC 14496-22, "OS/2", "hhea" and "head".
TEST(FilmFonts, AreFamiliesOfTheirOwnWhoseAscentAndDescentAreOneEm)
{
    FilmFonts fonts;
    Font const bold("Inter Bold 20");
    Font const medium("Inter Medium 20");
    EXPECT_EQ(fonts.face_of(bold.font), 0);
    EXPECT_EQ(fonts.face_of(medium.font), 1);
    EXPECT_EQ(fonts.face_of(bold.font), 0);
    fonts.use(0, U'A');
    fonts.use(1, U'A');
    int number = 0;
    for (FontFile const& file : fonts.files()) {
        auto const face = face_in(file);
        int const em = static_cast<int>(hb_face_get_upem(face.get()));
        EXPECT_EQ(family_in(face.get()), fonts.family(number++));
        EXPECT_EQ(number_in(face.get(), "OS/2", 74) + number_in(face.get(), "OS/2", 76), em);
        EXPECT_EQ(number_in(face.get(), "hhea", 4) - number_in(face.get(), "hhea", 6), em);
        EXPECT_NEAR(number_in(face.get(), "hhea", 4), em * FilmFonts::kAscent, 0.5);
        EXPECT_EQ(number_in(face.get(), "OS/2", 4), 400); // regular: nothing for a player to thicken
        EXPECT_EQ(number_in(face.get(), "head", 44), 0);
    }
    EXPECT_NE(fonts.family(0), fonts.family(1));
}

} // namespace
} // namespace tabard::overlay
