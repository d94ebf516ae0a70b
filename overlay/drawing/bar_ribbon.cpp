#include "overlay/drawing/cards.h"
#include "overlay/drawing/chord_lettering.h"
#include "overlay/drawing/simile.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

constexpr int kMostBarsShown = 4;

/// Draws one bar of the ribbon into its cell.
class RibbonCell {
public:
    RibbonCell(CardContext const& context, RibbonBar const& bar, Box box, std::optional<int> beat, int bars)
        : c(context), m_bar(bar), m_box(box), m_beat(beat), m_bars(bars), m_inner(box.inset(context.u(14)))
    {
    }

    void draw() const
    {
        if (m_beat) {
            round_box(c.cr, m_box.inset(c.u(6)), c.u(c.theme.corner_radius - 5));
            fill(c.cr, c.theme.tint());
        }
        draw_number();
        if (m_bar.simile && !m_beat)
            draw_simile_sign();
        else
            draw_chords();
        draw_beats();
    }

private:
    bool low() const { return m_box.height < c.u(120); }
    void draw_number() const
    {
        std::string const number =
            m_beat && m_bars > 0 ? fmt::format("{} of {}", m_bar.number, m_bars) : fmt::format("{}", m_bar.number);
        TextStyle const style{c.u(low() ? 19 : 21), Weight::medium, m_beat ? c.theme.ink : c.theme.soft_ink};
        c.type.draw(number, {m_inner.x + c.u(2), m_inner.y + c.u(low() ? 12 : 20)}, style);
    }
    void draw_simile_sign() const
    {
        double const height = c.u(40);
        draw_simile(c.cr, {m_box.centre_x() - height / 2, name_middle() - height / 2, height, height},
                    c.theme.soft_ink);
    }
    double name_middle() const { return m_box.y + m_box.height * (low() ? 0.50 : 0.53); }
    double beat_width() const { return m_inner.width / std::max(1, m_bar.beats); }
    void draw_chords() const
    {
        double const size = c.u(low() ? 38 : 50);
        ChordNameStyle const style{size, Weight::bold, c.theme.ink, c.theme.soft_ink};
        double x = m_inner.x;
        for (auto const& chord : m_bar.chords) {
            double const width = beat_width() * chord.beats;
            draw_chord_name(c.cr, c.type, chord.label, {x + c.u(2), name_middle() + c.half_capital(size)}, style,
                            width - c.u(14));
            x += width;
        }
    }
    void draw_beats() const
    {
        double const y = m_inner.bottom() - c.u(low() ? 4 : 10);
        for (int beat = 0; beat < m_bar.beats; ++beat) {
            double const x = m_inner.x + beat_width() * beat + c.u(9);
            bool const now = m_beat && *m_beat == beat;
            bool const starts_chord = begins_chord(beat);
            circle(c.cr, {x, y}, c.u(now ? 9 : (starts_chord ? 5 : 3.2)));
            fill(c.cr, now ? c.theme.accent : c.theme.soft_ink);
        }
    }
    bool begins_chord(int beat) const
    {
        int start = 0;
        for (auto const& chord : m_bar.chords) {
            if (start == beat)
                return true;
            start += chord.beats;
        }
        return false;
    }

    CardContext const& c;
    RibbonBar const& m_bar;
    Box m_box;
    std::optional<int> m_beat; ///< of the current bar
    int m_bars;                ///< of the section, 0 unknown
    Box m_inner;
};

} // namespace

void draw_card(CardContext const& c, BarRibbon const& ribbon)
{
    Box const& region = c.layout.ribbon;
    int const count = static_cast<int>(ribbon.bars.size());
    int const shown = std::clamp(count, 1, kMostBarsShown);
    // More bars than fit are turned like pages, so that nothing slides; fewer make a shorter card of equal bars.
    int const first = count <= shown ? 0 : std::min(ribbon.current / shown * shown, count - shown);
    double const width = (region.width - c.u(12)) / kMostBarsShown;
    Box const box = anchored(c, region, width * shown + c.u(12), region.height);
    draw_plate(c, box);
    for (int i = 0; i < std::min(shown, count); ++i) {
        Box const cell{box.x + c.u(6) + i * width, box.y, width, box.height};
        if (i > 0) {
            line(c.cr, {cell.x, box.y + c.u(24)}, {cell.x, box.bottom() - c.u(24)});
            stroke(c.cr, c.theme.line, c.u(2));
        }
        bool const now = first + i == ribbon.current;
        RibbonCell{c, ribbon.bars[static_cast<std::size_t>(first + i)], cell,
                   now ? std::optional{ribbon.beat} : std::nullopt, ribbon.bars_in_section}
            .draw();
    }
}

} // namespace tabard::overlay
