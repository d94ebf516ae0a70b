#include "overlay/drawing/cover_plan.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace tabard::overlay {
namespace {

constexpr Box kCover{0, 0, kCoverWidth, kCoverHeight};
constexpr double kSafe = 0.05;  ///< the title-safe area leaves that much of each side
constexpr double kApart = 0.03; ///< of the width, between a card and the picture beside it
constexpr int kSteps = 12;      ///< places of a picture that is larger than its window

/// What is not lost, but is not as good either.
constexpr double kSmallLetters = 0.4; ///< down to none at all
constexpr double kBesidePicture = 0.25;
constexpr double kNarrowPicture = 0.2;

Box common(Box const& a, Box const& b)
{
    double const x = std::max(a.x, b.x);
    double const y = std::max(a.y, b.y);
    return {x, y, std::max(0.0, std::min(a.right(), b.right()) - x),
            std::max(0.0, std::min(a.bottom(), b.bottom()) - y)};
}

double area(Box const& box) { return box.width * box.height; }

double lost_of(CoverPlan const& plan, std::vector<CoverSight> const& sights)
{
    double lost = 0;
    for (auto const& [box, weight] : sights) {
        Box const there{plan.picture.x + box.x * plan.picture.width, plan.picture.y + box.y * plan.picture.height,
                        box.width * plan.picture.width, box.height * plan.picture.height};
        Box const in_window = common(there, plan.window);
        lost += weight * (1 - (area(in_window) - area(common(in_window, plan.card))) / area(there));
    }
    return lost;
}

/// Tries plans and keeps the best.
class Planner {
public:
    Planner(double aspect, std::vector<CoverSight> const& sights, std::vector<CoverCard> const& cards)
        : m_aspect(aspect), m_sights(sights), m_cards(cards)
    {
    }

    CoverPlan best()
    {
        for (std::size_t chosen = 0; chosen < m_cards.size(); ++chosen) {
            fill(chosen);
            for (double const part : {0.64, 0.56, 0.48, 0.42, 0.36, 0.3164})
                stand_beside(chosen, part * kCover.width);
        }
        return m_best;
    }

private:
    /// The picture over the whole cover, the card in one of nine places.
    void fill(std::size_t chosen)
    {
        auto const [width, height, letters] = m_cards[chosen];
        Box const safe{kCover.width * kSafe, kCover.height * kSafe, kCover.width * (1 - 2 * kSafe),
                       kCover.height * (1 - 2 * kSafe)};
        if (chosen > 0 && (width > safe.width || height > safe.height))
            return;
        double worse = 0;
        for (double const down : {1.0, 0.0, 0.5})
            for (double const right : {0.0, 1.0, 0.5}) {
                Box const card{safe.x + right * (safe.width - width), safe.y + down * (safe.height - height), width,
                               height};
                try_places(kCover, card, chosen, false, worse);
                worse += 0.01; // at the lower left, where nothing else decides
            }
    }
    /// The picture at one side, as wide as asked for, the card in the middle of what is left.
    void stand_beside(std::size_t chosen, double width)
    {
        CoverCard const& card = m_cards[chosen];
        double const room = kCover.width * (1 - kSafe - kApart) - width;
        if (card.width > room || card.height > kCover.height * (1 - 2 * kSafe))
            return;
        double const worse = kBesidePicture + kNarrowPicture * (1 - width / kCover.width);
        double const y = kCover.centre_y() - card.height / 2;
        try_places({kCover.width - width, 0, width, kCover.height},
                   {kCover.width * kSafe + (room - card.width) / 2, y, card.width, card.height}, chosen, true, worse);
        try_places({0, 0, width, kCover.height},
                   {width + kCover.width * kApart + (room - card.width) / 2, y, card.width, card.height}, chosen, true,
                   worse + 0.01);
    }
    void try_places(Box const& window, Box const& card, std::size_t chosen, bool plain, double worse)
    {
        double const height = std::max(window.height, window.width / m_aspect);
        double const width = height * m_aspect;
        for (int step = 0; step <= kSteps; ++step) {
            double const place = static_cast<double>(step) / kSteps;
            Box const picture{window.x - place * (width - window.width), window.y - place * (height - window.height),
                              width, height};
            CoverPlan plan{picture, window, card, chosen, plain, 0};
            plan.lost = lost_of(plan, m_sights);
            double const cost =
                plan.lost + worse + kSmallLetters * (1 - m_cards[chosen].letters) + 0.01 * std::abs(place - 0.5);
            if (cost < m_lowest) {
                m_lowest = cost;
                m_best = plan;
            }
        }
    }

    double m_aspect;
    std::vector<CoverSight> const& m_sights;
    std::vector<CoverCard> const& m_cards;
    CoverPlan m_best;
    double m_lowest = std::numeric_limits<double>::infinity();
};

} // namespace

CoverPlan plan_cover(double width, double height, std::vector<CoverSight> const& sights,
                     std::vector<CoverCard> const& cards)
{
    return Planner{width / height, sights, cards}.best();
}

} // namespace tabard::overlay
