#include "overlay/drawing/cards.h"

#include <algorithm>

#include <fmt/format.h>

// What stands beside the music: where the capo sits, the title of a part, the count before it, the author's words.
namespace tabard::overlay {
namespace {

/// A capo over the strings, as a sign in front of the words: of the stuff that it has on the diagrams.
void draw_capo_sign(CardContext const& c, Box box)
{
    for (int i = 0; i < 4; ++i) {
        double const x = box.x + box.width * (0.2 + 0.2 * i);
        line(c.cr, {x, box.y}, {x, box.bottom()});
        stroke(c.cr, c.theme.string, c.u(0.9 - 0.15 * i));
    }
    Box const bar{box.x, box.centre_y() - c.u(3), box.width, c.u(6)};
    round_box(c.cr, bar, c.u(1.8));
    fill(c.cr, c.theme.capo);
}

std::string key_words(CapoLine const& line)
{
    if (line.sounding_key.empty())
        return line.shapes_key.empty() ? "" : fmt::format("{} shapes", line.shapes_key);
    if (line.fret == 0 || line.shapes_key.empty())
        return fmt::format("Key of {}", line.sounding_key);
    return fmt::format("{} shapes, sounds in {}", line.shapes_key, line.sounding_key);
}

} // namespace

void draw_card(CardContext const& c, CapoLine const& line)
{
    Box const& box = c.layout.capo;
    draw_plate(c, box);
    double const sign = c.u(14);
    draw_capo_sign(c, {box.x + c.u(7), box.centre_y() - c.u(8), sign, c.u(16)});
    double const left = box.x + c.u(7) + sign + c.u(6);
    double const width = box.right() - c.u(6) - left;
    TextStyle const head{c.played(), Weight::bold, c.theme.ink};
    TextStyle const tail{c.least(), Weight::medium, c.theme.soft_ink};
    std::string const first = line.fret > 0 ? fmt::format("Capo {}", line.fret) : "No capo";
    std::string words = key_words(line);
    if (c.type.width(words, tail) * 0.88 > width) // say less rather than smaller
        words = line.sounding_key.empty() || line.fret == 0 ? "" : fmt::format("sounds {}", line.sounding_key);
    if (c.type.width(words, tail) * 0.88 > width)
        words.clear();
    double const head_capital = 2 * c.half_capital(head.size);
    double const tail_capital = words.empty() ? 0 : 2 * c.half_capital(tail.size) + c.u(4);
    double const baseline = box.centre_y() - (head_capital + tail_capital) / 2 + head_capital;
    c.type.draw_fitted(first, {left, baseline}, head, width, c.played());
    c.type.draw_fitted(words, {left, baseline + tail_capital}, tail, width, c.least());
}

void draw_card(CardContext const& c, SectionBanner const& banner)
{
    Box const& region = c.layout.banner;
    double const pad = c.u(7);
    double const bar = c.u(2.4);
    double const before = pad + bar + c.u(5);
    double const room = region.width - before - pad;
    TextStyle const title{c.u(14), Weight::bold, c.theme.ink};
    TextStyle const subtitle{c.least(), Weight::medium, c.theme.soft_ink};
    double const title_capital = 2 * c.half_capital(title.size);
    auto const words = c.type.paragraph(banner.subtitle, subtitle, room, 2, 1.05);
    double const below = banner.subtitle.empty() ? 0 : words.height + c.u(3);
    double const width = std::min(room, std::max(c.type.width(banner.title, title), words.width));
    double const above = std::min(c.u(7), (region.height - title_capital - below) / 2);
    Box const box = anchored(c, region, before + width + pad, title_capital + below + 2 * above);
    draw_plate(c, box);
    double const top = box.y + above;
    round_box(c.cr, {box.x + pad, top - c.u(1), bar, title_capital + below + c.u(2)}, bar / 2);
    fill(c.cr, c.theme.accent);
    double const left = box.x + before;
    c.type.draw_fitted(banner.title, {left, top + title_capital}, title, room, c.played());
    if (!banner.subtitle.empty())
        c.type.draw(words, {left, top + title_capital + c.u(3)}, c.theme.soft_ink);
}

namespace {

/// A number that is counted: the one that is due on a plate of accent, one that begins a group heavier.
void draw_count(CardContext const& c, Point centre, CountIn const& count, int beat, double radius)
{
    bool const now = beat == count.beat;
    bool const strong = begins_group(count.groups, beat - 1);
    if (now) {
        circle(c.cr, centre, radius);
        fill(c.cr, c.theme.accent);
    }
    c.type.draw_centred(fmt::format("{}", beat), centre,
                        {c.u(now ? 15 : 13), now || strong ? Weight::bold : Weight::medium,
                         now      ? c.theme.on_accent
                         : strong ? c.theme.ink
                                  : c.theme.soft_ink});
}

} // namespace

void draw_card(CardContext const& c, CountIn const& count)
{
    Box const& region = c.layout.count_in;
    int const beats = std::max(1, count.beats);
    double const step = std::min(c.u(29), (region.width - c.u(6)) / beats);
    double const radius = region.height * 0.42;
    if (step < c.u(16)) { // too many to stand side by side: which one, and of how many
        std::string const of = fmt::format("of {}", beats);
        TextStyle const words{c.played(), Weight::medium, c.theme.soft_ink};
        double const width = c.type.width(of, words);
        Box const box = anchored(c, region, 2 * radius + width + c.u(19), region.height);
        draw_plate(c, box);
        draw_count(c, {box.x + c.u(6) + radius, box.centre_y()}, count, count.beat, radius);
        c.type.draw(of, {box.x + c.u(12) + 2 * radius, box.centre_y() + c.half_capital(words.size)}, words);
        return;
    }
    Box const box = anchored(c, region, step * beats + c.u(6), region.height);
    draw_plate(c, box);
    for (int beat = 1; beat <= beats; ++beat)
        draw_count(c, {box.x + c.u(3) + step * (beat - 0.5), box.centre_y()}, count, beat,
                   std::min(step * 0.48, radius));
}

namespace {

constexpr double kTextPad = 6;
constexpr double kTextLine = 1.1;

} // namespace

SetText set_text(CardContext const& c, TextCard const& card)
{
    Box const& region = c.layout.text;
    double const room = region.width - 2 * c.u(kTextPad);
    double const height = region.height - 2 * c.u(kTextPad) + c.u(4);
    for (double const size : {12.0, 11.0, 10.0, 9.25}) {
        TextStyle const style{c.u(size), Weight::medium, c.theme.ink};
        auto text = c.type.paragraph(card.text, style, room, 100, kTextLine);
        if (text.height <= height)
            return {std::move(text)};
    }
    TextStyle const smallest{c.least(), Weight::medium, c.theme.ink};
    int const most_lines = static_cast<int>(height / (smallest.size * 1.35));
    return {c.type.paragraph(card.text, smallest, room, std::max(1, most_lines), kTextLine)};
}

void draw_card(CardContext const& c, TextCard const& card)
{
    double const pad = c.u(kTextPad);
    auto const text = set_text(c, card).paragraph;
    Box const box = anchored(c, c.layout.text, text.width + 2 * pad, text.height + 2 * pad - c.u(4));
    draw_plate(c, box);
    c.type.draw(text, {box.x + pad, box.y + pad - c.u(2)}, c.theme.ink);
}

} // namespace tabard::overlay
