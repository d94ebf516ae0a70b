#include "overlay/ass/film_fonts.h"

#include "overlay/base/precondition.h"

#include <array>
#include <cmath>
#include <cstdint>
#include <set>

#include <fmt/format.h>
#include <hb-ot.h>
#include <hb-subset.h>
#include <pango/pangofc-font.h>

namespace tabard::overlay {
namespace {

template <auto Release>
struct HarfbuzzReleaser {
    template <class T>
    void operator()(T* handle) const noexcept
    {
        Release(handle);
    }
};
using FaceHandle = std::unique_ptr<hb_face_t, HarfbuzzReleaser<hb_face_destroy>>;
using BlobHandle = std::unique_ptr<hb_blob_t, HarfbuzzReleaser<hb_blob_destroy>>;
using InputHandle = std::unique_ptr<hb_subset_input_t, HarfbuzzReleaser<hb_subset_input_destroy>>;

constexpr hb_tag_t kHead = HB_TAG('h', 'e', 'a', 'd');
constexpr hb_tag_t kHhea = HB_TAG('h', 'h', 'e', 'a');
constexpr hb_tag_t kOs2 = HB_TAG('O', 'S', '/', '2');
constexpr hb_tag_t kName = HB_TAG('n', 'a', 'm', 'e');
constexpr hb_tag_t kCff = HB_TAG('C', 'F', 'F', ' ');
constexpr hb_tag_t kGlyf = HB_TAG('g', 'l', 'y', 'f');

/// A table of a font: numbers in it are big-endian (ISO/IEC 14496-22).
class Table {
public:
    Table(hb_face_t* face, hb_tag_t tag)
    {
        BlobHandle const blob{hb_face_reference_table(face, tag)};
        unsigned length = 0;
        char const* const data = hb_blob_get_data(blob.get(), &length);
        m_bytes.assign(data, data + length);
    }
    bool empty() const { return m_bytes.empty(); }
    int read(std::size_t at) const
    {
        return at + 2 > m_bytes.size()
                   ? 0
                   : static_cast<unsigned char>(m_bytes[at]) << 8 | static_cast<unsigned char>(m_bytes[at + 1]);
    }
    void write(std::size_t at, int value)
    {
        if (at + 2 > m_bytes.size())
            return;
        m_bytes[at] = static_cast<char>(value >> 8 & 0xff);
        m_bytes[at + 1] = static_cast<char>(value & 0xff);
    }
    std::string const& bytes() const { return m_bytes; }

private:
    std::string m_bytes;
};

bool has_table(hb_face_t* face, hb_tag_t tag)
{
    BlobHandle const blob{hb_face_reference_table(face, tag)};
    return hb_blob_get_length(blob.get()) > 0;
}

/// OS/2 fsType: 2 is "restricted licence", 0x100 "no subsetting", 0x200 "bitmaps only".
bool may_be_embedded(hb_face_t* face)
{
    Table const os2(face, kOs2);
    int const permission = os2.read(8);
    return !os2.empty() && (permission & 0x000f) != 2 && (permission & 0x0300) == 0;
}

bool is_altered(FcPattern const* pattern)
{
    FcBool emboldened = FcFalse;
    FcMatrix* matrix = nullptr;
    return (FcPatternGetBool(pattern, FC_EMBOLDEN, 0, &emboldened) == FcResultMatch && emboldened) ||
           FcPatternGetMatrix(pattern, FC_MATRIX, 0, &matrix) == FcResultMatch;
}

void add_table(hb_face_t* builder, hb_tag_t tag, std::string const& bytes)
{
    BlobHandle const blob{
        hb_blob_create(bytes.data(), static_cast<unsigned>(bytes.size()), HB_MEMORY_MODE_DUPLICATE, nullptr, nullptr)};
    hb_face_builder_add_table(builder, tag, blob.get());
}

std::u16string name_in(hb_face_t* face, hb_ot_name_id_t id)
{
    hb_language_t const english = hb_language_from_string("en", -1);
    unsigned const size = hb_ot_name_get_utf16(face, id, english, nullptr, nullptr);
    std::vector<std::uint16_t> text(size + 1);
    unsigned room = size + 1; // with the zero at its end
    hb_ot_name_get_utf16(face, id, english, &room, text.data());
    return {text.begin(), text.begin() + size};
}

/// What a naming table holds: Windows, UTF-16, American English.
std::string naming_table(std::vector<std::pair<int, std::u16string>> const& names)
{
    std::string records;
    std::string texts;
    auto const put = [](std::string& to, std::size_t number) {
        to += static_cast<char>(number >> 8 & 0xff);
        to += static_cast<char>(number & 0xff);
    };
    for (auto const& [id, text] : names) {
        std::size_t const begin = texts.size();
        for (char16_t const letter : text)
            put(texts, letter);
        for (std::size_t const number : {std::size_t{3}, std::size_t{1}, std::size_t{0x409},
                                         static_cast<std::size_t>(id), texts.size() - begin, begin})
            put(records, number);
    }
    std::string table;
    for (std::size_t const number : {std::size_t{0}, names.size(), 6 + records.size()})
        put(table, number);
    return table + records + texts;
}

std::string renamed(hb_face_t* face, std::string const& family)
{
    std::vector<std::pair<int, std::u16string>> names;
    std::u16string const name(family.begin(), family.end());
    auto const keep = [&](int id) {
        if (auto text = name_in(face, static_cast<hb_ot_name_id_t>(id)); !text.empty())
            names.emplace_back(id, std::move(text));
    };
    keep(0); // copyright
    names.insert(names.end(), {{1, name}, {2, u"Regular"}, {3, name}, {4, name}, {5, u"Version 1.0"}});
    std::u16string post_script = name;
    std::erase(post_script, u' ');
    names.emplace_back(6, post_script);
    keep(13); // licence
    keep(14); // where it stands
    return naming_table(names);
}

/// The table as it is to be in a film; `em` in units of the font.
std::string altered(hb_face_t* face, hb_tag_t tag, std::string const& family, int em)
{
    if (tag == kName)
        return renamed(face, family);
    Table table(face, tag);
    int const ascent = static_cast<int>(std::lround(em * FilmFonts::kAscent));
    int const descent = em - ascent;
    if (tag == kHead)
        table.write(44, 0); // macStyle: neither bold nor italic
    if (tag == kHhea) {
        table.write(4, ascent);
        table.write(6, -descent);
        table.write(8, 0);
    }
    if (tag == kOs2) {
        table.write(4, 400);                               // usWeightClass: regular
        table.write(62, (table.read(62) & 0xff80) | 0x40); // fsSelection: regular
        table.write(68, ascent);                           // sTypoAscender, sTypoDescender, sTypoLineGap
        table.write(70, -descent);
        table.write(72, 0);
        table.write(74, ascent); // usWinAscent, usWinDescent
        table.write(76, descent);
    }
    return table.bytes();
}

std::vector<std::byte> bytes_of(hb_face_t* face)
{
    BlobHandle const blob{hb_face_reference_blob(face)};
    unsigned length = 0;
    char const* const data = hb_blob_get_data(blob.get(), &length);
    auto const* const begin = reinterpret_cast<std::byte const*>(data);
    return {begin, begin + length};
}

std::vector<std::byte> made_for_film(hb_face_t* face, std::string const& family)
{
    FaceHandle const builder{hb_face_builder_create()};
    std::array<hb_tag_t, 64> tags{};
    auto count = static_cast<unsigned>(tags.size());
    unsigned const all = hb_face_get_table_tags(face, 0, &count, tags.data());
    PRECONDITION(all <= tags.size());
    bool named = false;
    for (unsigned i = 0; i < count; ++i) {
        add_table(builder.get(), tags[i], altered(face, tags[i], family, static_cast<int>(hb_face_get_upem(face))));
        named = named || tags[i] == kName;
    }
    if (!named)
        add_table(builder.get(), kName, altered(face, kName, family, 0));
    return bytes_of(builder.get());
}

} // namespace

struct FilmFonts::Face {
    FaceHandle face;
    std::set<char32_t> letters;
};

FilmFonts::FilmFonts() = default;
FilmFonts::FilmFonts(FilmFonts&&) noexcept = default;
FilmFonts& FilmFonts::operator=(FilmFonts&&) noexcept = default;
FilmFonts::~FilmFonts() = default;

int FilmFonts::face_of(PangoFont* font)
{
    if (!PANGO_IS_FC_FONT(font))
        return -1;
    FcPattern const* const pattern = pango_fc_font_get_pattern(PANGO_FC_FONT(font));
    FcChar8* file = nullptr;
    int number = 0;
    if (!pattern || FcPatternGetString(pattern, FC_FILE, 0, &file) != FcResultMatch || is_altered(pattern))
        return -1;
    FcPatternGetInteger(pattern, FC_INDEX, 0, &number);
    std::string const key = fmt::format("{}:{}", reinterpret_cast<char const*>(file), number);
    if (auto const known = m_known.find(key); known != m_known.end())
        return known->second;
    hb_face_t* const face = hb_font_get_face(pango_font_get_hb_font(font));
    bool const usable = !hb_ot_var_has_data(face) && may_be_embedded(face) && hb_face_get_upem(face) > 0 &&
                        (has_table(face, kGlyf) || has_table(face, kCff));
    if (!usable)
        return m_known[key] = -1;
    m_faces.push_back({FaceHandle{hb_face_reference(face)}, {}});
    return m_known[key] = count() - 1;
}

void FilmFonts::use(int face, char32_t letter) { m_faces[static_cast<std::size_t>(face)].letters.insert(letter); }

int FilmFonts::count() const { return static_cast<int>(m_faces.size()); }

std::string FilmFonts::family(int face) const { return fmt::format("Tabard film letters {}", face + 1); }

namespace {

InputHandle input_for(std::set<char32_t> const& letters)
{
    InputHandle input{hb_subset_input_create_or_fail()};
    PRECONDITION(input != nullptr);
    for (char32_t const letter : letters)
        hb_set_add(hb_subset_input_unicode_set(input.get()), letter);
    for (hb_tag_t const rules : {HB_TAG('G', 'S', 'U', 'B'), HB_TAG('G', 'P', 'O', 'S'), HB_TAG('G', 'D', 'E', 'F'),
                                 HB_TAG('k', 'e', 'r', 'n'), HB_TAG('m', 'o', 'r', 'x'), HB_TAG('k', 'e', 'r', 'x')})
        hb_set_add(hb_subset_input_set(input.get(), HB_SUBSET_SETS_DROP_TABLE_TAG), rules);
    hb_subset_input_set_flags(input.get(), HB_SUBSET_FLAGS_NO_HINTING);
    return input;
}

/// Null where it cannot be.
FaceHandle cut(hb_face_t* face, hb_subset_input_t* input)
{
    FaceHandle const made{hb_subset_or_fail(face, input)};
    if (!made)
        return nullptr;
    BlobHandle const blob{hb_face_reference_blob(made.get())}; // a face that was put together cannot list its tables
    return FaceHandle{hb_face_create(blob.get(), 0)};
}

} // namespace

std::vector<FontFile> FilmFonts::files() const
{
    std::vector<FontFile> files;
    for (int i = 0; i < count(); ++i) {
        Face const& face = m_faces[static_cast<std::size_t>(i)];
        InputHandle const input = input_for(face.letters);
        FaceHandle const cut_down = cut(face.face.get(), input.get());
        bool const cff = has_table(face.face.get(), kCff);
        files.push_back({fmt::format("letters-{}.{}", i + 1, cff ? "otf" : "ttf"), cff ? "font/otf" : "font/ttf",
                         made_for_film(cut_down ? cut_down.get() : face.face.get(), family(i))});
    }
    return files;
}

} // namespace tabard::overlay
