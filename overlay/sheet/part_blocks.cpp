#include "overlay/drawing/chord_lettering.h"
#include "overlay/drawing/simile.h"
#include "overlay/sheet/blocks.h"

#include <algorithm>

#include <fmt/format.h>

// The order of chords of each part, in bars.
namespace tabard::overlay::sheet {
namespace {

constexpr int kUsualBars = 4; ///< a row

std::vector<std::string> split_at_bars(std::string const& words)
{
    std::vector<std::string> pieces;
    for (std::size_t begin = 0; begin <= words.size();) {
        auto const end = std::min(words.find('|', begin), words.size());
        std::string piece = words.substr(begin, end - begin);
        auto const first = piece.find_first_not_of(' ');
        pieces.push_back(first == std::string::npos ? "" : piece.substr(first));
        begin = end + 1;
    }
    return pieces;
}

int beats_of(SheetBar const& bar)
{
    int beats = 0;
    for (auto const& chord : bar.chords)
        beats += chord.beats;
    return std::max(1, beats);
}

/// Beats from slash to slash: the pulses of a bar whose chords change on them, else each beat.
int slash_step(SheetBar const& bar, Meter meter)
{
    int const pulse = meter.beats / meter.pulses();
    bool const on_pulses = std::ranges::all_of(bar.chords, [&](auto const& chord) { return chord.beats % pulse == 0; });
    return on_pulses ? pulse : 1;
}

/// Where chords share a bar, each beat that one of them goes on for has a slash.
int slashes_of(SheetBar const& bar, SheetBarChord const& chord, Meter meter)
{
    bool const counts = bar.chords.size() > 1 || chord.held;
    return counts ? chord.beats / slash_step(bar, meter) - (chord.held ? 0 : 1) : 0;
}

double slash_width(Setting const& s) { return s.size.chord * 0.25; }
/// What a chord of some width leaves to its name.
double name_room(Setting const& s, double width, int slashes)
{
    return width - s.u(4) - slashes * (slash_width(s) + s.u(3));
}

/// A row of bars with the words under it.
struct BarRow {
    Setting const& s;
    std::vector<SheetBar> bars;
    Meter meter;
    int columns;
    bool ends_part;
    std::vector<std::string> words; ///< one for each bar, or one for the row

    double bar_height() const { return s.size.chord * (1.45 + 0.3 * s.size.density); }
    double words_height() const { return words.empty() ? 0 : s.size.body * 1.55; }
    double height() const { return bar_height() + words_height(); }
    double bar_width() const { return s.width / columns; }

    void draw(Point at) const
    {
        for (std::size_t i = 0; i < bars.size(); ++i)
            draw_bar(bars[i], {at.x + static_cast<double>(i) * bar_width(), at.y, bar_width(), bar_height()});
        double const end = at.x + static_cast<double>(bars.size()) * bar_width();
        if (!bars.empty())
            draw_end({end, at.y}, bars.back());
        draw_words({at.x, at.y + bar_height()});
    }

private:
    void bar_line(double x, double y, double width) const
    {
        line(s.cr, {x, y}, {x, y + bar_height()});
        stroke(s.cr, kInk, width);
    }
    void repeat_dots(double x, double y) const
    {
        circle(s.cr, {x, y + bar_height() * 0.36}, s.u(1.5));
        circle(s.cr, {x, y + bar_height() * 0.64}, s.u(1.5));
        fill(s.cr, kInk);
    }
    void draw_bar(SheetBar const& bar, Box box) const
    {
        double start = box.x;
        if (bar.opens_repeat) {
            bar_line(start + s.u(1.25), box.y, s.u(2.5));
            bar_line(start + s.u(5), box.y, s.u(0.8));
            repeat_dots(start + s.u(9), box.y);
            start += s.u(8);
        } else {
            bar_line(start + s.u(0.4), box.y, s.u(0.8));
        }
        double const end = box.right() - (bar.closes_repeat > 0 ? s.u(12) : s.u(4));
        Box const inner{start + s.u(7), box.y, end - start - s.u(7), box.height};
        if (bar.simile) {
            double const side = s.size.chord * 0.9;
            draw_simile(s.cr, {inner.centre_x() - side / 2, inner.centre_y() - side / 2, side, side}, kInk);
            return;
        }
        draw_chords(bar, inner);
    }
    void draw_chords(SheetBar const& bar, Box inner) const
    {
        double const beat_width = inner.width / beats_of(bar);
        double const baseline = inner.centre_y() + s.size.chord * s.type.cap_height() / 2;
        ChordNameStyle const style{s.size.chord, Weight::bold, kInk, kSoft};
        int beat = 0;
        for (auto const& chord : bar.chords) {
            double const x = inner.x + beat * beat_width;
            double const width = beat_width * chord.beats;
            int const slashes = slashes_of(bar, chord, meter);
            double slashes_from = 0;
            if (!chord.held) {
                double const name =
                    draw_chord_name(s.cr, s.type, chord.label, {x, baseline}, style, name_room(s, width, slashes));
                slashes_from = std::max(name + s.u(3), beat_width * slash_step(bar, meter));
            }
            // On their beats, unless the name reaches over one of them: then close together behind it.
            for (int i = 0; i < slashes; ++i)
                draw_slash({x + slashes_from + i * (width - slashes_from) / slashes, inner.centre_y()});
            beat += chord.beats;
        }
    }
    void draw_slash(Point at) const
    {
        double const half = s.size.chord * 0.26;
        line(s.cr, {at.x, at.y + half}, {at.x + slash_width(s), at.y - half});
        stroke(s.cr, kSoft, s.u(1.1));
    }
    void draw_end(Point at, SheetBar const& last) const
    {
        if (last.closes_repeat > 0) {
            repeat_dots(at.x - s.u(9), at.y);
            bar_line(at.x - s.u(5), at.y, s.u(0.8));
            bar_line(at.x - s.u(1.25), at.y, s.u(2.5));
        } else if (ends_part) {
            bar_line(at.x - s.u(3.4), at.y, s.u(0.8));
            bar_line(at.x - s.u(0.4), at.y, s.u(0.8));
        } else {
            bar_line(at.x - s.u(0.4), at.y, s.u(0.8));
        }
        for (std::size_t i = 0; i < bars.size(); ++i) {
            if (bars[i].closes_repeat <= 0)
                continue;
            double const end = at.x - static_cast<double>(bars.size() - 1 - i) * bar_width();
            if (i + 1 < bars.size()) { // inside the row
                repeat_dots(end - s.u(9), at.y);
                bar_line(end - s.u(5), at.y, s.u(0.8));
                bar_line(end - s.u(1.25), at.y, s.u(2.5));
            }
            if (bars[i].closes_repeat > 2) {
                std::string const times = fmt::format("{}\u00D7", bars[i].closes_repeat);
                TextStyle const style{s.size.small, Weight::semibold, kInk};
                s.type.draw(times, {end - s.type.width(times, style), at.y - s.u(2.5)}, style);
            }
        }
    }
    void draw_words(Point at) const
    {
        TextStyle const style{s.size.body, Weight::regular, kInk};
        bool const by_bar = words.size() > 1;
        for (std::size_t i = 0; i < words.size(); ++i)
            if (!words[i].empty())
                s.type.draw_fitted(
                    words[i],
                    {at.x + static_cast<double>(i) * bar_width() + s.u(by_bar ? 7 : 0), at.y + s.size.body * 1.12},
                    style, by_bar ? bar_width() - s.u(9) : s.width);
    }
};

/// What the line of words for these four bars gives to the row that begins with bar `first`.
std::vector<std::string> words_of_row(SheetPart const& part, std::size_t first, int columns)
{
    std::size_t const line = first / kUsualBars;
    if (line >= part.words.size())
        return {};
    auto pieces = split_at_bars(part.words[line]);
    std::size_t const skipped = first % kUsualBars;
    if (pieces.size() == 1)
        return skipped == 0 ? pieces : std::vector<std::string>{};
    pieces.erase(pieces.begin(), pieces.begin() + static_cast<std::ptrdiff_t>(std::min(skipped, pieces.size())));
    pieces.resize(static_cast<std::size_t>(columns));
    return pieces;
}

/// Four bars a row, unless a chord name needs more than its beats' share of that.
int bars_in_row(Setting const& s, SheetPart const& part)
{
    ChordNameStyle const style{s.size.chord, Weight::bold, kInk, kSoft};
    double const bar = s.width / kUsualBars - s.u(16);
    for (auto const& written : part.bars)
        for (auto const& chord : written.chords)
            if (!chord.held && !written.simile &&
                chord_name_width(s.type, chord.label, style) * 0.8 >
                    name_room(s, bar * chord.beats / beats_of(written), slashes_of(written, chord, part.meter)))
                return kUsualBars / 2;
    return kUsualBars;
}

Block part_heading(Setting const& s, SheetPart const& part, std::string const& beside)
{
    TextStyle const name{s.size.heading, Weight::bold, kInk};
    TextStyle const aside{s.size.small, Weight::regular, kSoft};
    double const name_room = s.width * 0.66;
    auto const title = s.type.paragraph(part.name, name, name_room, 3, 1.1);
    std::string const as = part.same_as.empty() ? "" : part.same_as == part.name ? "as before" : "as " + part.same_as;
    Block block;
    block.height = title.height;
    block.space_before = s.u(15);
    block.bookmark = part.name;
    block.tag = "H2";
    block.draw = [&s, title, beside, aside, as](Point at) {
        double const baseline = at.y + title.height - s.size.heading * 0.3;
        s.type.draw(title, at, kInk);
        double const room = s.width - title.width - s.u(12);
        double const width = std::min(s.type.width(beside, aside), as.empty() ? room : room * 0.6);
        s.type.draw_fitted(as, {at.x + title.width + s.u(8), baseline}, {s.size.body, Weight::regular, kInk},
                           room - width - s.u(4));
        if (!beside.empty())
            s.type.draw_fitted(beside, {at.x + s.width - width, baseline}, aside, width + 0.01);
    };
    return block;
}

std::string beside_heading(SheetModel const& model, SheetPart const& part)
{
    std::string words;
    auto const add = [&](std::string const& fact) {
        if (!fact.empty())
            words += (words.empty() ? "" : "  \u00B7  ") + fact;
    };
    std::string const meter = part.meter.text();
    if (part.same_as.empty() && meter != model.meter)
        add(meter);
    add(part.tempo);
    add(part.strum);
    return words;
}

} // namespace

std::vector<Block> part_blocks(Setting const& s, SheetModel const& model)
{
    std::vector<Block> blocks;
    int group = 0;
    if (!model.order.empty()) {
        blocks.push_back(text_block(s, model.order, s.size.body, kInk));
        blocks.back().space_before = s.u(14);
    }
    for (auto const& part : model.parts) {
        ++group;
        blocks.push_back(part_heading(s, part, beside_heading(model, part)));
        blocks.back().group = group;
        blocks.back().with_next = !part.bars.empty() && part.same_as.empty();
        if (!part.remark.empty()) {
            blocks.push_back(text_block(s, part.remark, s.size.body, kSoft));
            blocks.back().group = group;
        }
        if (!part.same_as.empty())
            continue;
        int const columns = bars_in_row(s, part);
        std::size_t line = 0;
        for (std::size_t first = 0; first < part.bars.size(); first += static_cast<std::size_t>(columns)) {
            auto const last = std::min(part.bars.size(), first + static_cast<std::size_t>(columns));
            BarRow row{s,
                       {part.bars.begin() + static_cast<std::ptrdiff_t>(first),
                        part.bars.begin() + static_cast<std::ptrdiff_t>(last)},
                       part.meter,
                       columns,
                       last == part.bars.size(),
                       words_of_row(part, first, columns)};
            line = first / kUsualBars + 1;
            bool const times = std::ranges::any_of(row.bars, [](auto const& bar) { return bar.closes_repeat > 2; });
            Block block;
            block.height = row.height();
            block.space_before = s.u(first == 0 ? 6 : 8) + (times ? s.size.small * 0.6 : 0);
            block.group = group;
            block.continued = part.name;
            block.draw = [row](Point at) { row.draw(at); };
            blocks.push_back(std::move(block));
        }
        for (; line < part.words.size(); ++line) {
            blocks.push_back(text_block(s, part.words[line], s.size.body, kInk));
            blocks.back().group = group;
        }
    }
    return blocks;
}

} // namespace tabard::overlay::sheet
