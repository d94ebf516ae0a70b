#include "pipeline/match/picture_delay.h"

#include "pipeline/match/delay_curve.h"

#include <algorithm>
#include <cmath>

namespace tabard::pipeline {

namespace {

constexpr double kLook = 3;       ///< seconds of a place
constexpr double kFromEdge = 0.8; ///< seconds: sound is often cut a little before or after its pictures
constexpr std::size_t kMostPlaces = 8;
constexpr std::size_t kEnoughPlaces = 4;

struct Place {
    MatchedPiece const* piece;
    double from; ///< seconds of the new film
};

/// Places evenly over what comes from the old film, in an order in which any first ones are spread over it too.
std::vector<Place> places_in(std::vector<MatchedPiece> const& pieces)
{
    auto const room = [](MatchedPiece const& piece) { return piece.length() - kLook - 2 * kFromEdge; };
    double all = 0;
    for (MatchedPiece const& piece : pieces)
        all += std::max(room(piece), 0.0);
    std::vector<Place> places;
    for (std::size_t const n : {0U, 4U, 2U, 6U, 1U, 5U, 3U, 7U}) {
        double left = all * (static_cast<double>(n) + 0.5) / kMostPlaces;
        for (MatchedPiece const& piece : pieces) {
            double const here = std::max(room(piece), 0.0);
            if (left < here) {
                places.push_back({&piece, piece.from + kFromEdge + left});
                break;
            }
            left -= here;
        }
    }
    return places;
}

Result<DelayCurve> curve_at(Place const& place, PrintReader& old_film, PrintReader& new_film)
{
    MatchedPiece const& piece = *place.piece;
    double const reach = kLongestDelay + 0.1;
    TRY_ASSIGN(auto const now, new_film.read({from_seconds(place.from), from_seconds(place.from + kLook)}));
    TRY_ASSIGN(auto const old, old_film.read({from_seconds(piece.old_time(place.from - reach)),
                                              from_seconds(piece.old_time(place.from + kLook + reach))}));
    DelayCurve curve;
    curve.add(now, old, piece);
    return curve;
}

} // namespace

Result<PictureDelay> picture_delay(std::filesystem::path const& old_film, std::filesystem::path const& new_film,
                                   std::vector<MatchedPiece> const& pieces, std::stop_token stop)
{
    TRY_ASSIGN(auto before, PrintReader::open(old_film, stop));
    TRY_ASSIGN(auto after, PrintReader::open(new_film, stop));
    double const frame = static_cast<double>(after.rate().den) / after.rate().num;
    DelayCurve whole;
    std::vector<double> told;
    auto const places = places_in(pieces);
    for (std::size_t n = 0; n < places.size(); ++n) {
        TRY_ASSIGN(auto const curve, curve_at(places[n], before, after));
        whole.add(curve);
        if (auto const delay = curve.delay(frame))
            told.push_back(*delay);
        if (n + 1 == kEnoughPlaces && told.size() == kEnoughPlaces)
            break;
    }
    PictureDelay result;
    result.rate = after.rate();
    std::ranges::sort(told);
    result.differs = !told.empty() && told.back() - told.front() > 1.5 * frame;
    if (!result.differs)
        result.seconds = whole.delay(frame);
    if (!result.differs && !result.seconds && told.size() > 1)
        result.seconds = told[told.size() / 2];
    return result;
}

} // namespace tabard::pipeline
