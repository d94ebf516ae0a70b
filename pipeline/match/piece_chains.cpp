#include "pipeline/match/piece_chains.h"

#include <algorithm>
#include <cmath>

namespace tabard::pipeline {

namespace {

constexpr double kTouching = 0.3;   ///< seconds between pieces of a chain
constexpr double kSmallStep = 0.06; ///< seconds of the old sound

bool goes_on(MatchedPiece const& first, MatchedPiece const& second)
{
    double const seam = 0.5 * (first.to + second.from);
    return second.from - first.to < kTouching && std::abs(second.old_time(seam) - first.old_time(seam)) < kSmallStep;
}

/// The line through the pieces, each counting for its length: least squares.
void fit(PieceChain& chain, std::vector<PlacedPiece> const& pieces)
{
    double weight = 0;
    double time = 0;
    double old = 0;
    auto const each = [&](auto const& visit) {
        for (std::size_t n = chain.first; n < chain.end; ++n)
            visit(pieces[n].piece);
    };
    auto const middle = [](MatchedPiece const& piece) { return 0.5 * (piece.from + piece.to); };
    each([&](MatchedPiece const& piece) {
        weight += piece.length();
        time += piece.length() * middle(piece);
        old += piece.length() * piece.old_time(middle(piece));
    });
    time /= weight;
    old /= weight;
    double square = 0;
    double product = 0;
    each([&](MatchedPiece const& piece) {
        double const off = middle(piece) - time;
        double const inner = piece.length() * piece.length() / 12; // of a piece's own extent
        square += piece.length() * (off * off + inner);
        product += piece.length() * (off * (piece.old_time(middle(piece)) - old) + inner * piece.playback.speed);
    });
    chain.speed = product / square;
    chain.offset = time - old / chain.speed;
    chain.worst = 0;
    each([&](MatchedPiece const& piece) {
        for (double const end : {piece.from, piece.to})
            chain.worst = std::max(chain.worst, std::abs(piece.old_time(end) - chain.speed * (end - chain.offset)));
    });
}

} // namespace

std::vector<PieceChain> chains_of(std::vector<PlacedPiece> const& pieces)
{
    std::vector<PieceChain> chains;
    for (std::size_t n = 0; n < pieces.size(); ++n) {
        if (n == 0 || !goes_on(pieces[n - 1].piece, pieces[n].piece))
            chains.push_back({n, n, 1, pieces[n].piece.from, 0, 0, 0});
        chains.back().end = n + 1;
        chains.back().to = pieces[n].piece.to;
    }
    for (PieceChain& chain : chains)
        fit(chain, pieces);
    return chains;
}

} // namespace tabard::pipeline
