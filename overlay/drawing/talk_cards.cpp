#include "overlay/drawing/cards.h"

#include <algorithm>

#include <fmt/format.h>

// What stands beside the music: where the capo sits, the title of a part, the count before it, the author's words.
namespace tabard::overlay {
namespace {

/// A capo over the strings, as a sign in front of the words.
void draw_capo_sign(CardContext const& c, Box box)
{
    for (int i = 0; i < 4; ++i) {
        double const x = box.x + box.width * (0.2 + 0.2 * i);
        line(c.cr, {x, box.y}, {x, box.bottom()});
        stroke(c.cr, c.theme.string, c.u(2.8 - 0.5 * i));
    }
    Box const bar{box.x, box.centre_y() - c.u(6), box.width, c.u(12)};
    round_box(c.cr, bar, bar.height / 2);
    fill(c.cr, c.theme.ink);
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
    double const sign = c.u(36);
    draw_capo_sign(c, {box.x + c.u(24), box.centre_y() - c.u(21), sign, c.u(42)});
    double const left = box.x + c.u(24) + sign + c.u(18);
    double const width = box.right() - c.u(20) - left;
    std::string const words = key_words(line);
    TextStyle const head{c.u(28), Weight::bold, c.theme.ink};
    TextStyle const tail{c.u(23), Weight::medium, c.theme.soft_ink};
    std::string const first = line.fret > 0 ? fmt::format("Capo {}", line.fret) : "No capo";
    double const middle = box.centre_y();
    if (words.empty()) {
        c.type.draw_fitted(first, {left, middle + c.half_capital(head.size)}, head, width);
        return;
    }
    double const head_capital = 2 * c.half_capital(head.size);
    double const tail_capital = 2 * c.half_capital(tail.size);
    double const line_gap = c.u(13);
    bool const two_lines = c.type.width(words, tail) > width * 1.15 && words.find(", ") != std::string::npos;
    double const height = head_capital + (line_gap + tail_capital) * (two_lines ? 2 : 1) - (two_lines ? c.u(4) : 0);
    double baseline = middle - height / 2 + head_capital;
    c.type.draw_fitted(first, {left, baseline}, head, width);
    auto const comma = two_lines ? words.find(", ") : std::string::npos;
    for (auto const& part : {words.substr(0, comma), two_lines ? words.substr(comma + 2) : std::string{}}) {
        baseline += line_gap + tail_capital - (two_lines ? c.u(2) : 0);
        c.type.draw_fitted(part, {left, baseline}, tail, width);
    }
}

void draw_card(CardContext const& c, SectionBanner const& banner)
{
    Box const& region = c.layout.banner;
    double const pad = c.u(30);
    double const bar = c.u(8);
    double const room = region.width - bar - c.u(22) - 2 * pad;
    bool const low = region.height < c.u(110);
    TextStyle const title{c.u(low ? 44 : 54), Weight::bold, c.theme.ink};
    TextStyle const subtitle{c.u(low ? 22 : 26), Weight::medium, c.theme.soft_ink};
    double const natural = std::max(c.type.width(banner.title, title), c.type.width(banner.subtitle, subtitle));
    Box const box = anchored(c, region, std::min(natural, room) + region.width - room, region.height);
    draw_plate(c, box);
    double const title_capital = 2 * c.half_capital(title.size);
    double const subtitle_capital = banner.subtitle.empty() ? 0 : 2 * c.half_capital(subtitle.size) + c.u(20);
    double const top = box.centre_y() - (title_capital + subtitle_capital) / 2;
    round_box(c.cr, {box.x + pad, top - c.u(4), bar, title_capital + subtitle_capital + c.u(8)}, bar / 2);
    fill(c.cr, c.theme.accent);
    double const left = box.x + pad + bar + c.u(22);
    c.type.draw_fitted(banner.title, {left, top + title_capital}, title, room);
    if (!banner.subtitle.empty())
        c.type.draw_fitted(banner.subtitle, {left, top + title_capital + subtitle_capital}, subtitle, room);
}

void draw_card(CardContext const& c, CountIn const& count)
{
    Box const& region = c.layout.count_in;
    int const beats = std::max(1, count.beats);
    double const step = std::min(c.u(96), (region.width - c.u(24)) / beats);
    Box const box = anchored(c, region, step * beats + c.u(24), region.height);
    draw_plate(c, box);
    double const size = std::min(c.u(56), step * 0.62);
    for (int beat = 1; beat <= beats; ++beat) {
        Point const centre{box.x + c.u(12) + step * (beat - 0.5), box.centre_y()};
        bool const now = beat == count.beat;
        if (now) {
            circle(c.cr, centre, std::min(step * 0.46, box.height * 0.40));
            fill(c.cr, c.theme.accent);
        }
        c.type.draw_centred(fmt::format("{}", beat), centre,
                            {now ? size * 1.12 : size, now ? Weight::bold : Weight::medium,
                             now ? c.theme.on_accent : c.theme.soft_ink});
    }
}

namespace {

constexpr double kTextPad = 30;

} // namespace

SetText set_text(CardContext const& c, TextCard const& card)
{
    Box const& region = c.layout.text;
    double const room = region.width - 2 * c.u(kTextPad);
    double const height = region.height - 2 * c.u(kTextPad);
    for (double const size : {40.0, 36.0, 32.0}) {
        TextStyle const style{c.u(size), Weight::medium, c.theme.ink};
        auto text = c.type.paragraph(card.text, style, room, 100);
        if (text.height <= height)
            return {std::move(text)};
    }
    TextStyle const smallest{c.u(28), Weight::medium, c.theme.ink};
    int const most_lines = static_cast<int>(height / (smallest.size * 1.5));
    return {c.type.paragraph(card.text, smallest, room, std::max(1, most_lines))};
}

void draw_card(CardContext const& c, TextCard const& card)
{
    double const pad = c.u(kTextPad);
    auto const text = set_text(c, card).paragraph;
    Box const box = anchored(c, c.layout.text, text.width + 2 * pad, text.height + 2 * pad - c.u(8));
    draw_plate(c, box);
    c.type.draw(text, {box.x + pad, box.y + pad - c.u(4)}, c.theme.ink);
}

} // namespace tabard::overlay
