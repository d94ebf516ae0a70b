#include "overlay/sheet/blocks.h"
#include "overlay/sheet/qr.h"
#include "overlay/sheet/web_link.h"

#include <algorithm>

#include <fmt/format.h>

// The blocks made of words: title and facts at the top, headings, what stands at the end.
namespace tabard::overlay::sheet {
namespace {

constexpr int kQuietZone = 4; ///< modules of white round a QR code (ISO/IEC 18004)

std::string ordinal(int number)
{
    if (number % 100 >= 11 && number % 100 <= 13)
        return fmt::format("{}th", number);
    switch (number % 10) {
    case 1:
        return fmt::format("{}st", number);
    case 2:
        return fmt::format("{}nd", number);
    case 3:
        return fmt::format("{}rd", number);
    default:
        return fmt::format("{}th", number);
    }
}

std::string capo_words(SheetModel const& model)
{
    std::string words = model.capo > 0 ? fmt::format("Capo on the {} fret.", ordinal(model.capo)) : "No capo.";
    if (model.capo > 0 && !model.shapes_key.empty() && !model.sounding_key.empty())
        words += fmt::format(" The shapes are in {}, the song sounds in {}.", model.shapes_key, model.sounding_key);
    else if (!model.sounding_key.empty())
        words += fmt::format(" The key is {}.", model.sounding_key);
    return words;
}

std::string fact_words(SheetModel const& model)
{
    std::string words;
    auto const add = [&](std::string const& fact) {
        if (!fact.empty())
            words += (words.empty() ? "" : "  \u00B7  ") + fact;
    };
    add(model.meter);
    add(model.tempo);
    if (!model.tuning.empty())
        add("tuned " + model.tuning);
    return words;
}

void draw_qr(cairo_t& cr, QrCode const& code, Box box)
{
    double const module = box.width / (code.side + 2 * kQuietZone);
    for (int y = 0; y < code.side; ++y)
        for (int x = 0; x < code.side; ++x)
            if (code.dark[static_cast<std::size_t>(y * code.side + x)])
                cairo_rectangle(&cr, box.x + (x + kQuietZone) * module, box.y + (y + kQuietZone) * module, module,
                                module);
    cairo_set_antialias(&cr, CAIRO_ANTIALIAS_NONE); // no white seams between modules
    fill(cr, {0, 0, 0});
    cairo_set_antialias(&cr, CAIRO_ANTIALIAS_DEFAULT);
}

} // namespace

Block text_block(Setting const& s, std::string const& text, double size, Colour colour)
{
    auto const paragraph = s.type.paragraph(text, {size, Weight::regular, colour}, s.width, 100, 1.15);
    Block block;
    block.height = paragraph.height;
    block.space_before = s.u(3);
    block.draw = [&s, paragraph, colour](Point at) { s.type.draw(paragraph, at, colour); };
    return block;
}

Block heading(Setting const& s, std::string const& text)
{
    auto const paragraph = s.type.paragraph(text, {s.size.heading, Weight::bold, kInk}, s.width, 2, 1.1);
    Block block;
    block.height = paragraph.height;
    block.space_before = s.u(15);
    block.with_next = true;
    block.bookmark = text;
    block.tag = "H2";
    block.draw = [&s, paragraph](Point at) { s.type.draw(paragraph, at, kInk); };
    return block;
}

std::vector<Block> header_blocks(Setting const& s, SheetModel const& model)
{
    std::vector<Block> blocks;
    auto const code = is_web_link(model.link) ? encode_qr(model.link) : Result<QrCode>{QrCode{}};
    bool const has_code = code && code->side > 0;
    // Half a millimetre for each module reads at arm's length; longer links need more of them.
    double const code_size =
        has_code ? std::max(s.u(64), (code->side + 2 * kQuietZone) * 0.55 * kPointsPerMillimetre) : 0;
    double const room = s.width - (has_code ? code_size + s.u(14) : 0);

    auto const title = s.type.paragraph(model.title, {s.size.title, Weight::bold, kInk}, room, 4, 1.08);
    auto const capo = s.type.paragraph(capo_words(model), {s.size.body * 1.15, Weight::semibold, kInk}, room, 4, 1.15);
    auto const facts = s.type.paragraph(fact_words(model), {s.size.body, Weight::regular, kSoft}, room, 4, 1.15);
    Block block;
    double const gap = s.u(5);
    bool const one_line = capo.width + s.u(20) + facts.width <= room;
    double const text_height = title.height + capo.height + gap + (one_line ? 0 : facts.height + gap);
    // The white round the code reaches into the margins, so that its ink stands in line with the rest.
    double const quiet = has_code ? kQuietZone * code_size / (code->side + 2 * kQuietZone) : 0;
    block.height = std::max(text_height, code_size - quiet) + s.u(8);
    block.tag = "H1";
    double const width = s.width;
    block.draw = [&s, title, capo, facts, gap, one_line, room, code, has_code, code_size, quiet, width,
                  height = block.height](Point at) {
        double y = at.y;
        s.type.draw(title, {at.x, y}, kInk);
        y += title.height + gap;
        s.type.draw(capo, {at.x, y}, kInk);
        y += capo.height;
        if (one_line)
            s.type.draw(facts, {at.x + room - facts.width, y - facts.height}, kSoft);
        else
            s.type.draw(facts, {at.x, y + gap}, kSoft);
        if (has_code)
            draw_qr(s.cr, *code, {at.x + width - code_size + quiet, at.y - quiet, code_size, code_size});
        line(s.cr, {at.x, at.y + height}, {at.x + width, at.y + height});
        stroke(s.cr, kInk, 1.2);
    };
    blocks.push_back(std::move(block));
    return blocks;
}

std::vector<Block> closing_blocks(Setting const& s, SheetModel const& model)
{
    std::vector<Block> blocks;
    bool const has_words = std::ranges::any_of(model.parts, [](auto const& part) { return !part.words.empty(); });
    auto const add = [&](std::string const& text) {
        blocks.push_back(text_block(s, text, s.size.small, kSoft));
        blocks.back().space_before = s.u(blocks.size() == 1 ? 16 : 3);
    };
    if (!model.link.empty()) {
        add("The lesson: " + model.link);
        if (is_web_link(model.link))
            blocks.back().tag = "Link";
    }
    if (has_words)
        add("Who prints or shares words of a song needs the right to do so: that is the author\u2019s matter.");
    add("If a hand hurts, stop and rest; see a professional about pain that stays.");
    return blocks;
}

} // namespace tabard::overlay::sheet
