// How well the pieces of an old film are found in a new one by their sound: constructed edits of a lesson (removed,
// moved, repeated and inserted pieces), both films through encoders of their own, and the new one treated as editing
// programs do: filters, noise taken out, music laid over it, another speed, or another speed for one piece only.
//   cut_bench [--tune] [--edits N] [--minutes M] [--only WORDS] [--verbose]
#include "pipeline/match/match_sound.h"
#include "tests/bench/options.h"
#include "tests/support/performance/recut.h"
#include "tests/support/performance/room.h"
#include "tests/support/performance/treatment.h"

#include <algorithm>
#include <cmath>
#include <ctime>
#include <filesystem>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <unistd.h>

namespace tabard::tests {
namespace {

struct Settings {
    bool tune = false;
    int edits = 8;
    double minutes = 15;
    std::string only;
    bool verbose = false;

    std::uint32_t seed() const { return tune ? 3000 : 900'000; }
    double seconds() const { return 60 * minutes; }
};

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
            cut.push_back({at, end, {}});
        else if (what < 0.85)
            cut.push_back({-1, uniform(3, 20), {}});
        at = end;
    }
    if (cut.size() > 4)
        std::swap(cut[1], cut[3]);      // moved
    cut.push_back(cut[cut.size() / 2]); // repeated
    return cut;
}

void print_pieces(std::vector<CutPiece> const& cut, std::vector<pipeline::MatchedPiece> const& pieces)
{
    double at = 0;
    for (CutPiece const& piece : cut) {
        fmt::print("    true {:.3f}-{:.3f} {}\n", at, at + piece.length(),
                   piece.is_new() ? "new"
                                  : fmt::format("offset {:.4f} speed {}", at - piece.from / piece.playback.speed,
                                                piece.playback.speed));
        at += piece.length();
    }
    for (pipeline::MatchedPiece const& piece : pieces)
        fmt::print("    found {:.3f}-{:.3f} offset {:.4f} speed {:.6f}{}\n", piece.from, piece.to, piece.offset,
                   piece.playback.speed, piece.playback.pitch_kept ? " kept" : "");
}

double worst(std::vector<double> const& values)
{
    double most = 0;
    for (double const value : values)
        most = std::max(most, std::abs(value));
    return most;
}

class Bench {
public:
    explicit Bench(Settings settings) : m_settings(std::move(settings))
    {
        m_scratch = std::filesystem::temp_directory_path() / fmt::format("cut_bench.{}", ::getpid());
        std::filesystem::create_directory(m_scratch);
        for (int n = 0; n < m_settings.edits; ++n) {
            auto const seed = m_settings.seed() + static_cast<std::uint32_t>(n);
            m_films.push_back(lesson_sound(m_settings.seconds(), seed));
            m_before.push_back(through_aac(m_films.back(), "128k", m_scratch, "", pipeline::kMatchRate));
        }
    }
    ~Bench() { std::filesystem::remove_all(m_scratch); }
    Bench(Bench const&) = delete;
    Bench& operator=(Bench const&) = delete;

    /// Every edit treated so; with `part`, one piece of each at that speed instead of all.
    void run(Treatment const& treatment, pipeline::Playback part = {}) const
    {
        if (treatment.name.find(m_settings.only) == std::string::npos)
            return;
        RecutScore score;
        double spent = 0;
        for (std::size_t n = 0; n < m_films.size(); ++n) {
            auto const seed = m_settings.seed() + static_cast<std::uint32_t>(n);
            std::mt19937 random(seed);
            auto cut = random_cut(m_settings.seconds(), random);
            if (part.speed != 1)
                std::ranges::max_element(cut, {}, [](CutPiece const& piece) {
                    return piece.is_new() ? 0 : piece.length();
                })->playback = part;
            double const gain = std::uniform_real_distribution<double>(0.5, 2)(random);
            auto const after =
                treated(recut(m_films[n], cut, m_settings.seed() + 17, 0.5 * gain), treatment, seed, m_scratch);
            auto const start = std::clock();
            auto const pieces = pipeline::match_sound(m_before[n], after);
            spent += static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
            auto const played_cut = at_speed(cut, treatment.playback);
            score.add(played_cut, pieces);
            if (m_settings.verbose)
                print_pieces(played_cut, pieces);
        }
        fmt::print("| {} | {} of {} | {:.1f} % | {} | {:.2f} | {:.1f} / {:.1f} | {:.1f} | {:.4f} | {:.1f} |\n",
                   treatment.name, score.found, score.pieces, 100 * score.covered / score.kept, score.wrong,
                   1000 * score.worst_offset(), 1000 * score.boundary_quantile(0.5),
                   1000 * score.boundary_quantile(0.9), 1000 * worst(score.delays), 100 * worst(score.speed_errors),
                   spent / m_settings.edits);
        std::fflush(stdout);
    }

private:
    Settings m_settings;
    std::filesystem::path m_scratch;
    std::vector<std::vector<float>> m_films;
    std::vector<std::vector<float>> m_before;
};

void run_all(Settings const& settings)
{
    fmt::print("{} edits of {:.0f} s.\n\n| the new film | pieces found | of their time | false | offset, worst ms | "
               "boundary, median / p90 ms | filter's delay, ms | speed, worst % | processor s |\n"
               "| --- | --- | --- | --- | --- | --- | --- | --- | --- |\n",
               settings.edits, settings.seconds());
    Bench const bench(settings);
    for (Treatment const& treatment : treatments())
        bench.run(treatment);
    for (pipeline::Playback const part : {pipeline::Playback{1.5, true}, {0.8, false}, {1.02, true}})
        bench.run({.name = fmt::format("one piece {} times{}", part.speed, part.pitch_kept ? ", pitch kept" : "")},
                  part);
}

} // namespace
} // namespace tabard::tests

int main(int count, char** words)
{
    tabard::tests::Settings settings;
    tabard::tests::read_options(count, words,
                                {{"--tune", &settings.tune},
                                 {"--edits", &settings.edits},
                                 {"--minutes", &settings.minutes},
                                 {"--only", &settings.only},
                                 {"--verbose", &settings.verbose}});
    tabard::tests::run_all(settings);
    return 0;
}
