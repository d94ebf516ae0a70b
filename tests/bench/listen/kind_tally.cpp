#include "tests/bench/listen/kind_tally.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::tests {

namespace {

std::string percent(double part, double whole)
{
    return whole == 0 ? std::string("-") : fmt::format("{:.1f}", 100 * part / whole);
}

} // namespace

void KindTally::add(TakeOutcome const& outcome)
{
    for (SectionOutcome const& section : outcome.sections) {
        ++sections;
        parts_played += section.played;
        confident_and_wrong += section.confident_and_wrong();
        doubtful += section.found && !section.trusted;
        not_found += section.played && !section.found;
        errors.insert(errors.end(), section.errors.begin(), section.errors.end());
        right_or_said += static_cast<int>(
            std::ranges::count_if(section.errors, [&](double error) { return error <= 0.1 || !section.trusted; }));
        deviations += section.deviations;
        deviations_right += section.deviations_right;
        deviations_false += section.deviations_false;
        deviations_perhaps += section.deviations_perhaps;
        if (section.trusted) {
            pins += section.pins;
            sure_changes += static_cast<int>(section.errors.size());
        }
    }
    ++performances;
    beat_f += outcome.beat_f;
    peer_beat_f += outcome.peer_beat_f;
    sound_seconds += outcome.sound_seconds;
    work_seconds += outcome.work_seconds;
}

void KindTally::add(KindTally const& other)
{
    sections += other.sections;
    confident_and_wrong += other.confident_and_wrong;
    doubtful += other.doubtful;
    not_found += other.not_found;
    parts_played += other.parts_played;
    errors.insert(errors.end(), other.errors.begin(), other.errors.end());
    right_or_said += other.right_or_said;
    beat_f += other.beat_f;
    peer_beat_f += other.peer_beat_f;
    performances += other.performances;
    deviations += other.deviations;
    deviations_right += other.deviations_right;
    deviations_false += other.deviations_false;
    deviations_perhaps += other.deviations_perhaps;
    pins += other.pins;
    sure_changes += other.sure_changes;
    sound_seconds += other.sound_seconds;
    work_seconds += other.work_seconds;
}

std::string KindTally::header()
{
    return fmt::format("{:<36} {:>5} {:>8} {:>5} {:>4} {:>7} {:>6} {:>6} {:>6} {:>7} {:>6} {:>6} {:>5} {:>12} {:>5} "
                       "{:>5}",
                       "kind", "WRONG", "sections", "doubt", "lost", "changes", "<=50", "<=100", "r/said", "median",
                       "p90", "beat F", "aubio", "dev r/m/f/p", "pins", "cost");
}

std::string KindTally::row(std::string const& name) const
{
    auto sorted = errors;
    std::ranges::sort(sorted);
    auto const within = [&](double seconds) {
        return percent(static_cast<double>(std::ranges::upper_bound(sorted, seconds) - sorted.begin()),
                       static_cast<double>(sorted.size()));
    };
    auto const quantile = [&](double share) {
        return sorted.empty() ? 0
                              : 1000 * sorted[static_cast<std::size_t>(share * static_cast<double>(sorted.size() - 1))];
    };
    auto const p90 = quantile(0.9);
    return fmt::format("{:<36} {:>5} {:>8} {:>5} {:>4} {:>7} {:>6} {:>6} {:>6} {:>7.1f} {:>6} {:>6.2f} {:>5.2f} {:>12} "
                       "{:>5} {:>5.2f}",
                       name, confident_and_wrong, sections, doubtful, not_found, sorted.size(), within(0.05),
                       within(0.1), percent(right_or_said, static_cast<double>(sorted.size())), quantile(0.5),
                       p90 > 9999 ? std::string("never") : fmt::format("{:.0f}", p90), beat_f / performances,
                       peer_beat_f / performances,
                       fmt::format("{}/{}/{}/{}", deviations_right, deviations - deviations_right, deviations_false,
                                   deviations_perhaps),
                       sure_changes == 0 ? std::string("-") : fmt::format("{:.2f}", pins / double(sure_changes)),
                       60 * work_seconds / sound_seconds);
}

} // namespace tabard::tests
