// How well listening finds beats and chords in built performances: a table of kinds, how much its confidence is worth,
// and how well finished cues are judged.
//   listen_bench [--tune] [--songs N] [--only TEXT] [--cache FOLDER] [--no-check] [--no-listen] [--verbose]
//     [--signs FILE]
// --tune takes the seeds that settings may be tuned on; the printed figures of a release come from the others.
// --songs: performances a kind; the guitars take turns. --only: kinds whose names have TEXT ("deviating" and "normal"
// are all of one group). --cache keeps built sound between runs. --no-listen measures the judging of cues alone,
// --no-check leaves it out. --verbose names each section that is wrong, and each part whose cues are judged wrongly.
// --signs writes a line a section, for tests/bench/fit_confidence.
#include "pipeline/listen/hearing.h"
#include "tests/bench/listen/calibration.h"
#include "tests/bench/listen/check_tally.h"
#include "tests/bench/listen/kind_tally.h"
#include "tests/bench/listen/outcome.h"
#include "tests/bench/listen/take_cache.h"
#include "tests/bench/options.h"
#include "tests/support/performance/guitars.h"

#include <chrono>
#include <cstdio>
#include <fstream>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

namespace tabard::tests {
namespace {

struct Options {
    bool tune = false;
    int songs = 6;
    std::string only;
    std::string cache;
    bool no_check = false;
    bool no_listen = false;
    bool verbose = false;
    std::string signs;
};

bool is_wanted(Condition const& condition, std::string const& only)
{
    return only.empty() || condition.name.find(only) != std::string::npos ||
           only == (condition.deviating ? "deviating" : "normal");
}

/// A section that needs a look, and why.
void print_section(SectionOutcome const& section)
{
    bool const right = section.played ? section.found && section.every_change_within(0.1) : !section.found;
    if (right && section.trusted && section.deviations == section.deviations_right &&
        section.deviations_false + section.deviations_perhaps == 0)
        return;
    fmt::print("    {}{}: {} {:.2f}{}{}; errors ms:", section.confident_and_wrong() ? "WRONG " : "", section.name,
               !section.found    ? "not found"
               : section.trusted ? "sure"
                                 : "doubtful",
               section.confidence, section.doubt.empty() ? "" : " ", section.doubt);
    for (double const error : section.errors)
        fmt::print(" {:.0f}", 1000 * error);
    fmt::print("; deviations {} made, {} right, {} false, {} with \"perhaps\"\n", section.deviations,
               section.deviations_right, section.deviations_false, section.deviations_perhaps);
    for (std::string const& made : section.deviations_made)
        fmt::print("        made {}\n", made);
    for (std::string const& heard : section.deviations_heard)
        fmt::print("        heard {}\n", heard);
}

class Bench {
public:
    explicit Bench(Options options) : m_options(std::move(options)), m_cache(m_options.cache), m_banks(guitars())
    {
        if (!m_options.signs.empty())
            m_signs.open(m_options.signs);
        m_signs << "section\tgroup\tright";
        for (auto const name : pipeline::kSignNames)
            m_signs << '\t' << name;
        m_signs << '\n';
    }

    void run()
    {
        fmt::print("{} performances a kind ({} seeds), notes:", m_options.songs,
                   m_options.tune ? "tuning" : "evaluation");
        for (NoteBank const& bank : m_banks)
            fmt::print(" {};", bank.name());
        fmt::print(
            "\nWRONG: sections that are sure, and a change is more than 200 ms off. r/said: changes within 100 ms "
            "or in a section that is not sure.\ndev: where the player leaves the chart: right, missed, false, false "
            "with \"perhaps\". "
            "pins: a change. cost: seconds of work a minute of sound.\n\n{}\n",
            KindTally::header());
        auto const kinds = conditions();
        for (std::size_t kind = 0; kind < kinds.size(); ++kind)
            if (is_wanted(kinds[kind], m_options.only))
                run_kind(kinds[kind], kind);
        if (m_normal.performances > 0)
            fmt::print("{}\n", m_normal.row("ALL NORMAL KINDS"));
        if (m_deviating.performances > 0)
            fmt::print("{}\n", m_deviating.row("ALL DEVIATING KINDS"));
        fmt::print("\n{}", m_calibration.table());
        if (!m_options.no_check)
            fmt::print("\n{}\n{}\n{}", CheckTally::header(), m_check_rows, m_check.table());
    }

private:
    void run_kind(Condition const& condition, std::size_t kind)
    {
        using Clock = std::chrono::steady_clock;
        KindTally tally;
        CheckTally check;
        for (int song = 0; song < m_options.songs; ++song) {
            NoteBank& bank = m_banks[(kind + static_cast<std::size_t>(song)) % m_banks.size()];
            auto const seed = static_cast<std::uint32_t>((m_options.tune ? 1000 : 500'000) + 97 * song +
                                                         7919 * static_cast<int>(kind));
            auto const take = m_cache.take(condition, bank, seed);
            auto const start = Clock::now();
            auto const heard = pipeline::hear(take.take.sound);
            double const seconds = std::chrono::duration<double>(Clock::now() - start).count();
            auto const name = fmt::format("{}, {}, song {}", condition.name, bank.name(), song);
            if (!m_options.no_listen) {
                auto const outcome = outcome_of(take, name, heard, seconds);
                tally.add(outcome);
                for (SectionOutcome const& section : outcome.sections) {
                    m_calibration.add(section);
                    write_signs(section, condition.deviating);
                    if (m_options.verbose)
                        print_section(section);
                }
            }
            // Of a kind that the chart is wrong for no cue can be said to be right.
            if (!m_options.no_check && condition.manner.capo == 0 && condition.manner.wrong == 0)
                check.add(take.take.played, heard, m_options.verbose ? name : "");
        }
        fmt::print("{}\n", tally.row(condition.name));
        std::fflush(stdout);
        m_check_rows += check.row(condition.name) + "\n";
        m_check.add(check);
        (condition.deviating ? m_deviating : m_normal).add(tally);
    }

    /// A line for tests/bench/fit_confidence.
    void write_signs(SectionOutcome const& section, bool deviating)
    {
        if (!m_signs.is_open() || !section.found)
            return;
        m_signs << section.name << '\t' << (deviating ? "deviating" : "normal") << '\t'
                << (section.played && section.every_change_within(0.2) ? 1 : 0);
        for (double const value : section.signs.values)
            m_signs << fmt::format("\t{:.4g}", value);
        m_signs << '\n';
    }

    Options m_options;
    TakeCache m_cache;
    std::vector<NoteBank> m_banks;
    KindTally m_normal;
    KindTally m_deviating;
    Calibration m_calibration;
    CheckTally m_check;
    std::string m_check_rows;
    std::ofstream m_signs;
};

} // namespace
} // namespace tabard::tests

int main(int count, char** words)
{
    using namespace tabard::tests;
    Options options;
    read_options(count, words,
                 {{"--tune", &options.tune},
                  {"--songs", &options.songs},
                  {"--only", &options.only},
                  {"--cache", &options.cache},
                  {"--no-check", &options.no_check},
                  {"--no-listen", &options.no_listen},
                  {"--verbose", &options.verbose},
                  {"--signs", &options.signs}});
    Bench(std::move(options)).run();
    return 0;
}
