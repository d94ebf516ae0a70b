// How well the pieces of an old film are found in a new one by their sound: constructed edits of a lesson (removed,
// moved, repeated and inserted pieces), both films through AAC encoders of their own, other levels, and for every
// fourth a compressor and an equaliser.
//   cut_bench [--tune] [--edits N] [--minutes M] [--verbose]
#include "pipeline/match/match_sound.h"
#include "tests/support/performance/recut.h"
#include "tests/support/performance/room.h"

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <random>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>

namespace tabard::tests {
namespace {

std::vector<CutPiece> random_cut(double seconds, std::mt19937& random)
{
    auto const uniform = [&](double low, double high) {
        return std::uniform_real_distribution<double>(low, high)(random);
    };
    std::vector<CutPiece> cut;
    double at = 0;
    while (at < seconds - 5) {
        double const end = std::min(at + uniform(4, 0.15 * seconds), seconds);
        if (double const what = uniform(0, 1); what < 0.75)
            cut.push_back({at, end});
        else if (what < 0.85)
            cut.push_back({-1, uniform(3, 20)});
        at = end;
    }
    if (cut.size() > 4)
        std::swap(cut[1], cut[3]);      // moved
    cut.push_back(cut[cut.size() / 2]); // repeated
    return cut;
}

void report_false(std::vector<CutPiece> const& cut, std::vector<pipeline::MatchedPiece> const& pieces)
{
    double at = 0;
    for (CutPiece const& piece : cut) {
        fmt::print("    true {:.3f}-{:.3f} {}\n", at, at + piece.length(),
                   piece.is_new() ? "new" : fmt::format("offset {:.4f}", at - piece.from));
        at += piece.length();
    }
    for (pipeline::MatchedPiece const& piece : pieces)
        fmt::print("    found {:.3f}-{:.3f} offset {:.4f}\n", piece.from, piece.to, piece.offset);
}

void run(int edits, double seconds, std::uint32_t first_seed, bool verbose)
{
    RecutScore score;
    std::chrono::duration<double> spent{};
    auto const scratch = std::filesystem::temp_directory_path();
    for (int n = 0; n < edits; ++n) {
        std::mt19937 random(first_seed + static_cast<std::uint32_t>(n));
        auto const film = lesson_sound(seconds, first_seed + static_cast<std::uint32_t>(n));
        auto const cut = random_cut(seconds, random);
        double const gain = std::uniform_real_distribution<double>(0.5, 2)(random);
        auto const filter = n % 4 == 3 ? "acompressor=threshold=0.1:ratio=4,equalizer=f=1500:t=q:w=1:g=4" : "";
        auto const before = through_aac(film, "128k", scratch, "", pipeline::kMatchRate);
        auto const after =
            through_aac(recut(film, cut, first_seed + 17, 0.5 * gain), "96k", scratch, filter, pipeline::kMatchRate);
        auto const start = std::chrono::steady_clock::now();
        auto const pieces = pipeline::match_sound(before, after);
        spent += std::chrono::steady_clock::now() - start;
        auto const wrong_before = score.wrong;
        score.add(cut, pieces);
        if (verbose && score.wrong > wrong_before)
            report_false(cut, pieces);
    }
    fmt::print(
        "{} edits of {:.0f} s: {} pieces of 3 s and more, {} found, {} false; offset worst {:.4f} ms; boundary median "
        "{:.1f} ms, p90 {:.1f} ms, worst {:.1f} ms; {:.1f} s an edit\n",
        edits, seconds, score.pieces, score.found, score.wrong, 1000 * score.worst_offset(),
        1000 * score.boundary_quantile(0.5), 1000 * score.boundary_quantile(0.9), 1000 * score.boundary_quantile(1),
        spent.count() / edits);
}

} // namespace
} // namespace tabard::tests

int main(int count, char** words)
{
    int edits = 8;
    double minutes = 15;
    std::uint32_t seed = 900'000;
    bool verbose = false;
    for (int n = 1; n < count; ++n) {
        std::string_view const word = words[n];
        if (word == "--tune")
            seed = 3000;
        else if (word == "--edits" && n + 1 < count)
            edits = std::atoi(words[++n]);
        else if (word == "--minutes" && n + 1 < count)
            minutes = std::atof(words[++n]);
        else if (word == "--verbose")
            verbose = true;
    }
    tabard::tests::run(edits, 60 * minutes, seed, verbose);
    return 0;
}
