#include "overlay/sheet/sheet.h"

#include "overlay/sheet/blocks.h"
#include "overlay/sheet/pagination.h"
#include "overlay/sheet/qr.h"
#include "overlay/sheet/web_link.h"

#include <cmath>

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <fmt/format.h>

namespace tabard::overlay {
namespace {

using namespace sheet;

constexpr double kPngDotsPerInch = 150;

cairo_status_t append(void* sink, unsigned char const* data, unsigned int length) noexcept
{
    try {
        auto& bytes = *static_cast<SheetFile*>(sink);
        auto const* const first = reinterpret_cast<std::byte const*>(data);
        bytes.insert(bytes.end(), first, first + length);
        return CAIRO_STATUS_SUCCESS;
    } catch (...) { // an exception must not cross the C frames of Cairo
        return CAIRO_STATUS_NO_MEMORY;
    }
}

/// Text for the attributes of a Cairo tag: quoted, with quotes and backslashes escaped.
std::string quoted(std::string const& text)
{
    std::string result = "'";
    for (char const sign : text) {
        if (sign == '\'' || sign == '\\')
            result += '\\';
        result += sign;
    }
    return result + "'";
}

class Tag {
public:
    Tag(cairo_t& cr, char const* name, std::string const& attributes = "") : m_cr(cr), m_name(name)
    {
        cairo_tag_begin(&m_cr, m_name, attributes.c_str());
    }
    Tag(Tag const&) = delete;
    Tag& operator=(Tag const&) = delete;
    ~Tag() { cairo_tag_end(&m_cr, m_name); }

private:
    cairo_t& m_cr;
    char const* m_name;
};

/// A sheet laid out for one Cairo surface, drawn page by page.
class SheetDrawing {
public:
    SheetDrawing(cairo_t& cr, SheetModel const& model, SheetOptions const& options)
        : m_cr(cr),
          m_model(model),
          m_options(options),
          m_page(page_size(options.paper)),
          m_type(cr, options.font),
          m_setting{cr, m_type, sizes(options), options, m_page.inner_width()}
    {
        lay_out(1);
        auto const roomy = pages();
        for (double density = 0.85; pages() == roomy && roomy > 1 && roomy < 5 && density > 0.5; density -= 0.15)
            lay_out(density); // a page less is worth narrower gaps
        if (pages() == roomy)
            lay_out(1);
    }

    int pages() const { return static_cast<int>(m_pages.size()); }

    void draw(int index) const
    {
        for (auto const& placed : m_pages[static_cast<std::size_t>(index)]) {
            if (!placed.continued.empty())
                draw_continued(placed.continued);
            bool const link = std::string_view{placed.block->tag} == "Link";
            Tag const tag{m_cr, placed.block->tag, link ? "uri=" + quoted(m_model.link) : ""};
            placed.block->draw({kMargin, kMargin + placed.y});
        }
        draw_footer(index);
    }

    void add_bookmarks(cairo_surface_t& surface) const
    {
        for (int page = 0; page < pages(); ++page)
            for (auto const& placed : m_pages[static_cast<std::size_t>(page)])
                if (!placed.block->bookmark.empty())
                    cairo_pdf_surface_add_outline(
                        &surface, CAIRO_PDF_OUTLINE_ROOT, placed.block->bookmark.c_str(),
                        fmt::format("page={} pos=[{:.2f} {:.2f}]", page + 1, kMargin, kMargin + placed.y).c_str(),
                        static_cast<cairo_pdf_outline_flags_t>(0));
    }

private:
    void lay_out(double density)
    {
        m_setting.size.density = density;
        m_blocks.clear();
        for (auto* const part : {&header_blocks, &shape_blocks, &strum_blocks, &part_blocks, &closing_blocks})
            for (auto& block : part(m_setting, m_model))
                m_blocks.push_back(std::move(block));
        m_pages = paginate(m_blocks, m_page.height - 2 * kMargin - footer_height(), continued_height());
    }
    double footer_height() const { return m_setting.size.small * 1.3 + m_setting.u(8); }
    double continued_height() const { return m_setting.size.small * 1.6; }
    void draw_continued(std::string const& part) const
    {
        double const size = m_setting.size.small;
        Tag const tag{m_cr, "P"};
        m_type.draw_fitted(part + ", continued", {kMargin, kMargin + size}, {size, Weight::regular, kSoft},
                           m_setting.width);
    }
    void draw_footer(int index) const
    {
        TextStyle const style{m_setting.size.small, Weight::regular, kSoft};
        double const baseline = m_page.height - kMargin - m_setting.size.small * 0.28;
        std::string const number = fmt::format("{} of {}", index + 1, pages());
        double const width = m_type.width(number, style);
        Tag const tag{m_cr, "P"};
        if (index > 0)
            m_type.draw_fitted(m_model.title, {kMargin, baseline}, style, m_setting.width - width - m_setting.u(20));
        m_type.draw(number, {m_page.width - kMargin - width, baseline}, style);
    }

    cairo_t& m_cr;
    SheetModel const& m_model;
    SheetOptions const& m_options;
    PageSize m_page;
    Type m_type;
    Setting m_setting;
    std::vector<Block> m_blocks;
    std::vector<Page> m_pages;
};

Result<void> check(cairo_status_t status)
{
    if (status != CAIRO_STATUS_SUCCESS)
        return Error{ErrorKind::io, fmt::format("the sheet cannot be drawn: {}", cairo_status_to_string(status))};
    return {};
}

Result<std::vector<SheetFile>> draw_pdf(SheetModel const& model, SheetOptions const& options)
{
    std::vector<SheetFile> files(1);
    PageSize const size = page_size(options.paper);
    Surface const surface{cairo_pdf_surface_create_for_stream(append, &files[0], size.width, size.height)};
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE, model.title.c_str());
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_SUBJECT, "Guitar lesson sheet");
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATOR, "Tabard");
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATE_DATE, options.made.c_str());
    {
        Context const cr{cairo_create(surface.get())};
        SheetDrawing const drawing{*cr, model, options};
        {
            Tag const document{*cr, "Document"};
            for (int page = 0; page < drawing.pages(); ++page) {
                drawing.draw(page);
                cairo_show_page(cr.get());
            }
        }
        drawing.add_bookmarks(*surface);
        TRY_VOID(check(cairo_status(cr.get())));
    }
    cairo_surface_finish(surface.get());
    TRY_VOID(check(cairo_surface_status(surface.get())));
    return files;
}

Surface recording(PageSize size)
{
    cairo_rectangle_t const extents{0, 0, size.width, size.height};
    return Surface{cairo_recording_surface_create(CAIRO_CONTENT_COLOR_ALPHA, &extents)};
}

Result<SheetFile> draw_page(SheetModel const& model, SheetOptions const& options, SheetFormat format, int page)
{
    PageSize const size = page_size(options.paper);
    double const scale = format == SheetFormat::png ? kPngDotsPerInch / 72 : 1;
    SheetFile file;
    Surface const surface{format == SheetFormat::png
                              ? cairo_image_surface_create(CAIRO_FORMAT_RGB24,
                                                           static_cast<int>(std::lround(size.width * scale)),
                                                           static_cast<int>(std::lround(size.height * scale)))
                              : cairo_svg_surface_create_for_stream(append, &file, size.width, size.height)};
    if (format == SheetFormat::svg)
        cairo_svg_surface_set_document_unit(surface.get(), CAIRO_SVG_UNIT_PT);
    {
        Context const cr{cairo_create(surface.get())};
        set_colour(*cr, kPaper);
        cairo_paint(cr.get());
        cairo_scale(cr.get(), scale, scale);
        SheetDrawing const drawing{*cr, model, options};
        drawing.draw(page);
        TRY_VOID(check(cairo_status(cr.get())));
    }
    if (format == SheetFormat::png)
        TRY_VOID(check(cairo_surface_write_to_png_stream(surface.get(), append, &file)));
    cairo_surface_finish(surface.get());
    TRY_VOID(check(cairo_surface_status(surface.get())));
    return file;
}

/// The rows of bars of a part, one under the other.
class BarsDrawing {
public:
    static constexpr double kEdge = 4; ///< points around the bars

    BarsDrawing(cairo_t& cr, SheetPart const& part, SheetOptions const& options)
        : m_type(cr, options.font),
          m_setting{cr, m_type, sizes(options), options, page_size(options.paper).inner_width()}
    {
        SheetModel model;
        model.parts = {part};
        m_blocks = part_blocks(m_setting, model);
        m_blocks.erase(m_blocks.begin()); // its heading
    }

    PageSize size() const
    {
        double height = 2 * kEdge;
        for (Block const& block : m_blocks)
            height += block.space_before + block.height;
        return {m_setting.width + 2 * kEdge, height};
    }
    void draw() const
    {
        double y = kEdge;
        for (Block const& block : m_blocks) {
            y += block.space_before;
            block.draw({kEdge, y});
            y += block.height;
        }
    }

private:
    Type m_type;
    Setting m_setting;
    std::vector<Block> m_blocks;
};

PageSize size_of_bars(SheetPart const& part, SheetOptions const& options)
{
    Surface const surface = recording(page_size(options.paper));
    Context const cr{cairo_create(surface.get())};
    return BarsDrawing{*cr, part, options}.size();
}

} // namespace

Result<SheetFile> draw_bars(SheetPart const& part, SheetOptions const& options)
{
    SheetPart const bars{"", "", part.meter, "", "", "", part.bars, {}};
    PageSize const size = size_of_bars(bars, options);
    SheetFile file;
    Surface const surface{cairo_svg_surface_create_for_stream(append, &file, size.width, size.height)};
    {
        Context const cr{cairo_create(surface.get())};
        set_colour(*cr, kPaper);
        cairo_paint(cr.get());
        BarsDrawing{*cr, bars, options}.draw();
        TRY_VOID(check(cairo_status(cr.get())));
    }
    cairo_surface_finish(surface.get());
    TRY_VOID(check(cairo_surface_status(surface.get())));
    return file;
}

int count_pages(SheetModel const& model, SheetOptions const& options)
{
    Surface const surface = recording(page_size(options.paper));
    Context const cr{cairo_create(surface.get())};
    return SheetDrawing{*cr, model, options}.pages();
}

std::vector<std::string> texts_without_glyphs(SheetModel const& model, SheetOptions const& options)
{
    Surface const surface = recording(page_size(options.paper));
    Context const cr{cairo_create(surface.get())};
    Type const type{*cr, options.font};
    std::vector<std::string> texts{model.title};
    for (auto const& part : model.parts) {
        texts.push_back(part.name);
        texts.push_back(part.remark);
        texts.insert(texts.end(), part.words.begin(), part.words.end());
    }
    std::erase_if(texts, [&](std::string const& text) { return type.missing_letters(text) == 0; });
    return texts;
}

Result<std::vector<SheetFile>> draw_sheet(SheetModel const& model, SheetOptions const& options, SheetFormat format)
{
    if (is_web_link(model.link))
        TRY_VOID(encode_qr(model.link));
    if (format == SheetFormat::pdf)
        return draw_pdf(model, options);
    std::vector<SheetFile> files;
    for (int page = 0, pages = count_pages(model, options); page < pages; ++page) {
        TRY_ASSIGN(auto file, draw_page(model, options, format, page));
        files.push_back(std::move(file));
    }
    return files;
}

} // namespace tabard::overlay
