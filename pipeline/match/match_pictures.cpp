#include "pipeline/match/match_pictures.h"

#include <algorithm>
#include <cstdlib>
#include <limits>
#include <map>
#include <optional>

namespace tabard::pipeline {

namespace {

constexpr std::ptrdiff_t kNear = 2;       ///< frames: so near an offset is the same piece
constexpr float kClear = 1.3F;            ///< by how much a picture fits better in its place than elsewhere
constexpr float kMoving = 0.4F;           ///< grey levels within two frames
constexpr std::size_t kFewestVotes = 2;   ///< for an offset
constexpr std::size_t kMostOffsets = 100; ///< the most voted
constexpr float kSwitchCost = 3;          ///< in frames that clearly fit
constexpr double kShortestPiece = 0.5;    ///< seconds: shorter ones are chance

std::ptrdiff_t half_second(FrameRate rate) { return std::max<std::ptrdiff_t>(rate.num / (2 * rate.den), 1); }

/// One picture every half second, the one around which most moves; none where nothing does.
std::vector<std::ptrdiff_t> telling_frames(std::span<PicturePrint const> film, FrameRate rate)
{
    auto const window = half_second(rate);
    std::vector<std::ptrdiff_t> frames;
    for (std::ptrdiff_t first = 1; first + 1 < std::ssize(film); first += window) {
        float most = kMoving;
        std::optional<std::ptrdiff_t> best;
        for (std::ptrdiff_t n = first; n < std::min(first + window, std::ssize(film) - 1); ++n) {
            float const moved =
                print_distance(film[static_cast<std::size_t>(n) - 1], film[static_cast<std::size_t>(n) + 1]);
            if (moved > most) {
                most = moved;
                best = n;
            }
        }
        if (best)
            frames.push_back(*best);
    }
    return frames;
}

/// Where a picture was in the old film, and by how much that is off.
struct Place {
    std::ptrdiff_t frame;
    float distance;
};

/// The place that fits best, where it is clearly better than any other.
std::optional<Place> place_of(PicturePrint const& picture, std::span<PicturePrint const> film)
{
    std::vector<float> distances(film.size());
    std::ranges::transform(film, distances.begin(),
                           [&](PicturePrint const& old) { return print_distance(picture, old); });
    auto const best = std::ranges::min_element(distances) - distances.begin();
    float const distance = distances[static_cast<std::size_t>(best)];
    float other = std::numeric_limits<float>::max();
    for (std::ptrdiff_t n = 0; n < std::ssize(distances); ++n) {
        if (std::abs(n - best) > kNear)
            other = std::min(other, distances[static_cast<std::size_t>(n)]);
    }
    if (other < kClear * distance)
        return std::nullopt;
    return Place{best, distance};
}

/// What is known of the new film from its telling pictures.
struct Votes {
    std::vector<std::ptrdiff_t> offsets; ///< new frame n shows old frame n - offset; the most voted first
    float noise = 0;                     ///< grey levels by which a picture differs from itself in the other film
};

Votes count_votes(std::span<PicturePrint const> before, std::span<PicturePrint const> after, FrameRate rate)
{
    std::map<std::ptrdiff_t, std::size_t> counts;
    std::vector<float> distances;
    for (std::ptrdiff_t const frame : telling_frames(after, rate)) {
        auto const place = place_of(after[static_cast<std::size_t>(frame)], before);
        if (!place)
            continue;
        ++counts[frame - place->frame];
        distances.push_back(place->distance);
    }
    Votes votes;
    if (distances.empty())
        return votes;
    auto const middle = distances.begin() + std::ssize(distances) / 2;
    std::nth_element(distances.begin(), middle, distances.end());
    votes.noise = *middle;
    std::vector<std::pair<std::size_t, std::ptrdiff_t>> ranked;
    for (auto const& [offset, count] : counts)
        ranked.emplace_back(count, offset);
    std::ranges::sort(ranked, std::greater{});
    for (auto const& [count, offset] : ranked) {
        bool const known = std::ranges::any_of(
            votes.offsets, [near = offset](std::ptrdiff_t other) { return std::abs(other - near) <= kNear; });
        if (!known && count >= kFewestVotes && votes.offsets.size() < kMostOffsets)
            votes.offsets.push_back(offset);
    }
    return votes;
}

/// The likeliest offset of each new frame (index; offsets.size(): new material), by a Viterbi search.
std::vector<std::size_t> follow(std::span<PicturePrint const> before, std::span<PicturePrint const> after,
                                Votes const& votes)
{
    // Twice the noise and the rounding of prints is as much unlike as like.
    float const limit = 2 * votes.noise + 0.3F;
    std::size_t const fresh = votes.offsets.size();
    std::vector<float> scores(fresh + 1, -kSwitchCost);
    std::vector<std::vector<std::uint8_t>> switched(after.size(), std::vector<std::uint8_t>(fresh + 1));
    std::vector<std::size_t> leaders(after.size());
    scores[fresh] = 0;
    for (std::size_t n = 0; n < after.size(); ++n) {
        auto const leader = static_cast<std::size_t>(std::ranges::max_element(scores) - scores.begin());
        leaders[n] = leader;
        float const entry = scores[leader] - kSwitchCost;
        for (std::size_t state = 0; state <= fresh; ++state) {
            switched[n][state] = scores[state] < entry;
            scores[state] = std::max(scores[state], entry);
            if (state == fresh)
                continue;
            auto const old = static_cast<std::ptrdiff_t>(n) - votes.offsets[state];
            bool const inside = old >= 0 && old < std::ssize(before);
            float const off = inside ? print_distance(after[n], before[static_cast<std::size_t>(old)]) : 2 * limit;
            scores[state] += 1 - std::min(off / limit, 2.0F);
        }
    }
    std::vector<std::size_t> choices(after.size());
    auto state = static_cast<std::size_t>(std::ranges::max_element(scores) - scores.begin());
    for (std::size_t n = after.size(); n-- > 0;) {
        choices[n] = state;
        if (switched[n][state])
            state = leaders[n];
    }
    return choices;
}

} // namespace

std::vector<MatchedPiece> match_pictures(std::span<PicturePrint const> before, std::span<PicturePrint const> after,
                                         FrameRate rate)
{
    auto const votes = count_votes(before, after, rate);
    auto const choices = follow(before, after, votes);
    auto const seconds = [&](std::ptrdiff_t frame) { return static_cast<double>(frame) * rate.den / rate.num; };
    std::vector<MatchedPiece> pieces;
    for (std::size_t n = 0; n < choices.size();) {
        std::size_t end = n;
        while (end < choices.size() && choices[end] == choices[n])
            ++end;
        MatchedPiece piece{seconds(static_cast<std::ptrdiff_t>(n)), seconds(static_cast<std::ptrdiff_t>(end)), 0, {}};
        if (choices[n] < votes.offsets.size() && piece.to - piece.from >= kShortestPiece) {
            piece.offset = seconds(votes.offsets[choices[n]]);
            pieces.push_back(piece);
        }
        n = end;
    }
    return pieces;
}

double moving_share(std::span<PicturePrint const> film, FrameRate rate)
{
    auto const windows = (std::ssize(film) + half_second(rate) - 1) / half_second(rate);
    return static_cast<double>(telling_frames(film, rate).size()) /
           static_cast<double>(std::max<std::ptrdiff_t>(windows, 1));
}

} // namespace tabard::pipeline
