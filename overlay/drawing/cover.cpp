#include "overlay/drawing/cover.h"

#include "overlay/drawing/chord_diagram.h"
#include "overlay/drawing/cover_plan.h"
#include "overlay/drawing/type.h"

#include <algorithm>
#include <array>
#include <string_view>
#include <utility>

namespace tabard::overlay {
namespace {

constexpr double kPad = 36;
constexpr double kEmblemWidth = 128;
constexpr double kEmblemHeight = kEmblemWidth * 1.25 + 22; ///< with the signs above it
constexpr double kEmblemGap = 62;
constexpr double kLargest = 92; ///< size of a title

/// The title-safe area (5 % at each side) of a cover without a picture.
constexpr double kWidest = kCoverWidth * 0.9;

/// One way to set a card: no wider than this, the emblem beside or above the words, the title on one large line or on
/// more of them.
struct CardForm {
    double widest;
    bool stacked;
    bool tall;
};

using TitleSize = std::pair<double, int>; ///< of the em, and on how many lines at most
constexpr std::array<TitleSize, 8> kFlatTitles{
    {{kLargest, 1}, {80, 1}, {68, 1}, {64, 2}, {56, 3}, {48, 4}, {40, 5}, {32, 6}}};
constexpr std::array<TitleSize, 8> kTallTitles{
    {{kLargest, 2}, {80, 2}, {72, 3}, {64, 3}, {56, 3}, {48, 4}, {40, 5}, {32, 6}}};

/// The words and the emblem of a card.
class Card {
public:
    Card(Type const& type, CoverText const& text, Theme const& theme, CardForm form)
        : m_type(type), m_text(text), m_theme(theme), m_stacked(form.stacked)
    {
        double const room = form.widest - 2 * kPad - (form.stacked ? 0 : emblem_side());
        set_title(room, form.tall ? kTallTitles : kFlatTitles);
        m_subtitle = type.paragraph(text.subtitle, {34, Weight::medium, theme.soft_ink}, room, 3);
    }

    CoverCard outline() const
    {
        double const width = std::max(m_title.width, m_subtitle.width);
        double const emblem = m_text.emblem ? kEmblemHeight : 0;
        double const content = m_stacked ? emblem + (emblem > 0 ? 14 : 0) + words() : std::max(words(), emblem);
        return {(m_stacked ? std::max(width, kEmblemWidth + 28) : width + emblem_side()) + 2 * kPad, content + 2 * kPad,
                m_size / kLargest};
    }

    void draw(cairo_t& cr, Box const& card) const
    {
        double top = m_stacked ? card.bottom() - kPad - words() : card.centre_y() - words() / 2;
        double const left = card.x + kPad + (m_stacked ? 0 : emblem_side());
        if (m_text.emblem)
            draw_emblem(cr,
                        {card.x + kPad + 14, m_stacked ? card.y + kPad + 22 : card.bottom() - kPad - kEmblemHeight + 22,
                         kEmblemWidth, kEmblemHeight - 22});
        m_type.draw(m_title, {left, top}, m_theme.ink);
        top += m_title.height + kGap;
        if (!m_text.subtitle.empty())
            m_type.draw(m_subtitle, {left, top}, m_theme.soft_ink);
    }

private:
    static constexpr double kGap = 8;

    double emblem_side() const { return m_text.emblem ? 14 + kEmblemWidth + kEmblemGap : 0; }
    double words() const { return m_title.height + (m_text.subtitle.empty() ? 0 : kGap + m_subtitle.height); }

    /// In the first size that wants no more lines than it may have and tears no word; else with an ellipsis.
    void set_title(double room, std::array<TitleSize, 8> const& sizes)
    {
        for (auto const& [size, lines] : sizes) {
            m_size = size;
            TextStyle const style{size, Weight::bold, m_theme.ink};
            m_title = m_type.paragraph(m_text.title, style, room, &size == &sizes.back().first ? lines : 9, 1.05);
            if (m_title.height <= lines * size * 1.35 && longest_word(style) <= room)
                return;
        }
    }
    double longest_word(TextStyle const& style) const
    {
        double longest = 0;
        std::string_view rest = m_text.title;
        while (!rest.empty()) {
            std::string_view const word = rest.substr(0, rest.find(' '));
            longest = std::max(longest, m_type.width(word, style));
            rest.remove_prefix(std::min(rest.size(), word.size() + 1));
        }
        return longest;
    }
    void draw_emblem(cairo_t& cr, Box const& box) const
    {
        DiagramStyle style{m_theme.ink,    m_theme.line,   m_theme.string,        m_theme.dot,
                           m_theme.on_dot, m_theme.accent, over(m_theme.card, {})};
        style.top = m_text.capo ? TopEdge::capo : TopEdge::nut;
        style.left_handed = m_text.left_handed;
        draw_diagram(cr, m_type, *m_text.emblem, {}, box, style);
    }

    Type const& m_type;
    CoverText const& m_text;
    Theme const& m_theme;
    bool m_stacked;
    double m_size = 0;
    Type::Paragraph m_title;
    Type::Paragraph m_subtitle;
};

void draw_picture(cairo_t& cr, Bitmap const& picture, CoverPlan const& plan)
{
    Surface const surface{cairo_image_surface_create(CAIRO_FORMAT_ARGB32, picture.at.width, picture.at.height)};
    copy_into(picture, {0, 0, picture.at.width, picture.at.height}, *surface);
    cairo_save(&cr);
    cairo_rectangle(&cr, plan.window.x, plan.window.y, plan.window.width, plan.window.height);
    cairo_clip(&cr);
    cairo_translate(&cr, plan.picture.x, plan.picture.y);
    cairo_scale(&cr, plan.picture.width / picture.at.width, plan.picture.height / picture.at.height);
    cairo_set_source_surface(&cr, surface.get(), 0, 0);
    cairo_pattern_set_filter(cairo_get_source(&cr), CAIRO_FILTER_GOOD);
    cairo_pattern_set_extend(cairo_get_source(&cr), CAIRO_EXTEND_PAD);
    cairo_paint(&cr);
    cairo_restore(&cr);
}

} // namespace

Bitmap compose_cover(Bitmap const& picture, std::vector<CoverSight> const& sights, CoverText const& text,
                     Theme const& theme)
{
    Surface const surface{cairo_image_surface_create(CAIRO_FORMAT_ARGB32, kCoverWidth, kCoverHeight)};
    Context const context{cairo_create(surface.get())};
    cairo_t& cr = *context;
    set_colour(cr, over(theme.card, {}));
    cairo_paint(&cr);

    Type const type{cr, theme.font};
    std::vector<Card> cards;
    std::vector<CoverCard> outlines;
    for (double const widest : {kWidest, 860.0, 740.0, 640.0, 520.0, 420.0})
        for (bool const stacked : {false, true})
            for (bool const tall : {false, true})
                if (!stacked || (text.emblem && widest < 600))
                    outlines.push_back(
                        cards.emplace_back(type, text, theme, CardForm{widest, stacked, tall}).outline());
    bool const empty = picture.at.empty();
    CoverPlan const plan =
        plan_cover(empty ? kCoverWidth : picture.at.width, empty ? kCoverHeight : picture.at.height, sights, outlines);
    if (!empty)
        draw_picture(cr, picture, plan);
    if (!plan.plain) {
        round_box(cr, plan.card, 1.4 * theme.corner_radius);
        fill(cr, theme.card);
    }
    cards[plan.chosen].draw(cr, plan.card);
    return crop_to_ink(*surface, {});
}

} // namespace tabard::overlay
