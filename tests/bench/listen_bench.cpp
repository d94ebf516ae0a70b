// How well listening finds beats and chords in built performances, a table of conditions. The beat tracker of aubio,
// which does not know the chart, hears the same sound.
//   listen_bench [--tune] [--songs N] [--notes FOLDER] [--only TEXT]
// --tune takes the seeds that settings may be tuned on; the printed figures of a release come from the others.
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#ifdef TABARD_WITH_AUBIO
extern "C" {
#include <aubio/aubio.h>
}
#endif

#include "pipeline/listen/doubt.h"
#include "tests/support/performance/conditions.h"
#include "tests/support/performance/score.h"

namespace tabard::tests {
namespace {

struct Options {
    bool tune = false;
    int songs = 2;
    std::filesystem::path notes;
    std::string only;
    bool verbose = false;
};

Options read_options(int count, char** words)
{
    Options options;
    for (int n = 1; n < count; ++n) {
        std::string_view const word = words[n];
        auto const next = [&] { return n + 1 < count ? words[++n] : ""; };
        if (word == "--tune")
            options.tune = true;
        else if (word == "--songs")
            options.songs = std::atoi(next());
        else if (word == "--notes")
            options.notes = next();
        else if (word == "--only")
            options.only = next();
        else if (word == "--verbose")
            options.verbose = true;
    }
    return options;
}

std::vector<double> aubio_beats(std::vector<float> const& sound)
{
    std::vector<double> beats;
#ifdef TABARD_WITH_AUBIO
    constexpr uint_t kHop = 256;
    auto* tempo = new_aubio_tempo("default", 1024, kHop, kSampleRate);
    auto* input = new_fvec(kHop);
    auto* output = new_fvec(2);
    for (std::size_t at = 0; at + kHop <= sound.size(); at += kHop) {
        std::copy_n(sound.begin() + static_cast<std::ptrdiff_t>(at), kHop, input->data);
        aubio_tempo_do(tempo, input, output);
        if (output->data[0] != 0.0F)
            beats.push_back(static_cast<double>(aubio_tempo_get_last_s(tempo)));
    }
    del_fvec(output);
    del_fvec(input);
    del_aubio_tempo(tempo);
#endif
    return beats;
}

/// aubio cannot know where the parts are, so only its beats inside them count.
double peer_beat_f(Performance const& played, std::vector<float> const& sound)
{
    std::vector<double> truth;
    std::vector<double> inside;
    auto const beats = aubio_beats(sound);
    for (PlayedPart const& part : played.parts) {
        truth.insert(truth.end(), part.beats.begin(), part.beats.end() - 1);
        std::ranges::copy_if(beats, std::back_inserter(inside), [&](double beat) {
            return beat > part.beats.front() - 0.07 && beat < part.beats.back() - 0.07;
        });
    }
    return beat_f_measure(truth, inside);
}

void report_beats(Performance const& played, pipeline::Alignment const& heard)
{
    for (std::size_t p = 0; p < played.parts.size(); ++p) {
        if (!heard.parts[p].found)
            continue;
        fmt::print("    part {} beat {:.3f}:", p, played.chart[p].beat_seconds);
        for (std::size_t n = 0; n < played.parts[p].beats.size(); ++n)
            fmt::print(" {:.0f}", 1000 * (heard.parts[p].beats[n] - played.parts[p].beats[n]));
        fmt::print("\n");
    }
}

void report_misses(Performance const& played, pipeline::Alignment const& heard)
{
    for (std::size_t p = 0; p < played.parts.size(); ++p)
        for (std::size_t n = 0; n < played.parts[p].span_starts.size(); ++n) {
            if (!heard.parts[p].found || !played.chart[p].changes(n))
                continue;
            double const truth = played.parts[p].span_starts[n];
            auto const& span = heard.parts[p].spans[n];
            if (std::abs(span.seconds - truth) > 0.05)
                fmt::print("    part {} span {} truth {:.3f}{} heard {:+.3f}{} beat {:+.3f} second {:+.3f}\n", p, n,
                           truth, played.parts[p].pushed[n] ? " pushed" : "", span.seconds - truth,
                           span.early ? " early" : "",
                           heard.parts[p].beats[static_cast<std::size_t>(played.chart[p].spans[n].first_beat)] -
                               played.parts[p].beats[static_cast<std::size_t>(played.chart[p].spans[n].first_beat)],
                           span.second_best ? *span.second_best - truth : 0.0);
        }
}

void report_parts(Performance const& played, pipeline::Alignment const& heard, std::vector<float> const& sound)
{
    for (std::size_t p = 0; p < played.parts.size(); ++p) {
        fmt::print("    part {} {:.1f}-{:.1f} confidence {:.2f} leads:", p, played.parts[p].beats.front(),
                   played.parts[p].beats.back(), heard.parts[p].confidence);
        for (std::size_t n = 0; n < heard.parts[p].spans.size(); ++n)
            fmt::print(" {:.3f}{}", heard.parts[p].spans[n].chord.lead,
                       std::ranges::count(played.parts[p].wrong, static_cast<int>(n)) ? "!" : "");
        fmt::print("\n");
    }
    fmt::print("    transposition {} gain {:.2f}; stray", heard.transposition.semitones, heard.transposition.gain);
    for (auto const& stretch : heard.stray)
        fmt::print(" {:.1f}-{:.1f}", stretch.from, stretch.to);
    fmt::print("\n");
    auto const whole = pipeline::hear(sound);
    for (auto const& found : pipeline::find_activity(whole))
        fmt::print("    {} {:.1f}-{:.1f} beat {:.2f}\n", static_cast<int>(found.activity), found.stretch.from,
                   found.stretch.to, found.beat_seconds.value_or(0));
}

/// Of all parts: those that would not be written, and those that would be although a change is 200 ms off or more.
struct Trust {
    int doubted = 0;
    int sure_and_wrong = 0;

    void add(Performance const& played, pipeline::Alignment const& heard)
    {
        for (std::size_t p = 0; p < played.parts.size(); ++p) {
            pipeline::ExpectedPart const& chart = played.chart[p];
            pipeline::AlignedPart const& part = heard.parts[p];
            bool wrong = false;
            for (std::size_t n = 0; part.found && n < chart.spans.size(); ++n) {
                wrong |= chart.changes(n) && std::abs(part.spans[n].seconds - played.parts[p].span_starts[n]) >= 0.2;
            }
            bool const sure = part.found && part.confidence >= pipeline::kTrusted && doubt_of(chart, part).empty();
            doubted += sure ? 0 : 1;
            sure_and_wrong += sure && wrong ? 1 : 0;
        }
    }
};

void run_condition(Condition const& condition, std::vector<NoteBank>& banks, Options const& options)
{
    using Clock = std::chrono::steady_clock;
    Score score;
    Trust trust;
    double peer = 0;
    double sound_seconds = 0;
    std::chrono::duration<double> spent{};
    int performances = 0;
    for (std::size_t bank = 0; bank < banks.size(); ++bank)
        for (int song = 0; song < options.songs; ++song) {
            auto const seed =
                static_cast<std::uint32_t>((options.tune ? 1000 : 500000) + 97 * song + 7919 * static_cast<int>(bank));
            auto const take = perform(condition, banks[bank], seed);
            auto const start = Clock::now();
            auto const heard = pipeline::align(pipeline::hear(take.sound), take.played.chart);
            spent += Clock::now() - start;
            sound_seconds += static_cast<double>(take.sound.size()) / kSampleRate;
            score.add(take.played, heard);
            trust.add(take.played, heard);
            peer += peer_beat_f(take.played, take.sound);
            ++performances;
            if (options.verbose)
                report_beats(take.played, heard);
            if (options.verbose)
                report_misses(take.played, heard);
            if (options.verbose)
                report_parts(take.played, heard, take.sound);
        }
    fmt::print("{} {:>6.2f} {:>3}/{:<3} {:>5} {:>5} {:>6.2f}%\n", score.row(condition.name), peer / performances,
               score.parts_found, score.parts, trust.doubted, trust.sure_and_wrong,
               100 * spent.count() / sound_seconds);
    std::fflush(stdout);
}

} // namespace
} // namespace tabard::tests

int main(int count, char** words)
{
    using namespace tabard::tests;
    auto const options = read_options(count, words);
    auto banks = guitars(options.notes);
    fmt::print("{} performances a condition ({} seeds), notes:", options.songs * static_cast<int>(banks.size()),
               options.tune ? "tuning" : "evaluation");
    for (NoteBank const& bank : banks)
        fmt::print(" {};", bank.name());
    fmt::print("\n{} {:>6} {:>7} {:>5} {:>5} {:>7}\n", Score::header(), "aubio", "parts", "doubt", "wrong", "cost");
    for (Condition const& condition : conditions())
        if (options.only.empty() || condition.name.find(options.only) != std::string::npos)
            run_condition(condition, banks, options);
    return 0;
}
