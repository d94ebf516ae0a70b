#include "overlay/music/patterns/strum_pattern.h"

#include "overlay/music/words.h"

#include <algorithm>
#include <optional>

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

constexpr std::size_t kMostSteps = 64;
constexpr int kMostStrings = 12;
constexpr std::string_view kFingers = "pima";

/// Takes one character off the front of `text` if it is one of `wanted`.
std::optional<char> take_one_of(std::string_view& text, std::string_view wanted)
{
    if (text.empty() || wanted.find(text.front()) == std::string_view::npos)
        return std::nullopt;
    char const c = text.front();
    text.remove_prefix(1);
    return c;
}

bool take(std::string_view& text, char wanted) { return take_one_of(text, {&wanted, 1}).has_value(); }

std::optional<Pluck> take_pluck(std::string_view& text)
{
    Pluck pluck;
    if (!take(text, 'R')) {
        while (auto const digit = take_one_of(text, "0123456789")) {
            pluck.string = pluck.string * 10 + (*digit - '0');
            if (pluck.string > kMostStrings)
                return std::nullopt;
        }
        if (pluck.string == 0)
            return std::nullopt;
    }
    pluck.finger = take_one_of(text, kFingers).value_or('\0');
    return pluck;
}

std::optional<StrumStep> step_of(std::string_view text)
{
    StrumStep step;
    if (text == "-")
        return step;
    if (auto const stroke = take_one_of(text, "DU")) {
        step.motion = *stroke == 'D' ? StrumStep::Motion::down : StrumStep::Motion::up;
        step.finger = take_one_of(text, kFingers).value_or('\0');
    } else {
        step.motion = StrumStep::Motion::pluck;
        do {
            auto const pluck = take_pluck(text);
            if (!pluck)
                return std::nullopt;
            step.plucks.push_back(*pluck);
        } while (take(text, '+') && step.plucks.size() < kMostStrings);
    }
    step.muted = take(text, 'x');
    step.accent = take(text, '>');
    step.muted = step.muted || take(text, 'x');
    return text.empty() ? std::optional{step} : std::nullopt;
}

std::string finger_text(char finger) { return finger == '\0' ? "" : std::string(1, finger); }

std::string step_text(StrumStep const& step)
{
    std::string text;
    switch (step.motion) {
    case StrumStep::Motion::rest:
        return "-";
    case StrumStep::Motion::down:
        text = "D" + finger_text(step.finger);
        break;
    case StrumStep::Motion::up:
        text = "U" + finger_text(step.finger);
        break;
    case StrumStep::Motion::pluck:
        for (auto const& pluck : step.plucks)
            text += (text.empty() ? "" : "+") + (pluck.string == 0 ? "R" : std::to_string(pluck.string)) +
                    finger_text(pluck.finger);
        break;
    }
    return text + (step.muted ? "x" : "") + (step.accent ? ">" : "");
}

} // namespace

Result<StrumPattern> StrumPattern::parse(std::string_view text)
{
    StrumPattern pattern;
    for (auto const& word : words_of(text)) {
        auto const step = step_of(word.text);
        if (!step)
            return Error{
                ErrorKind::invalid_input,
                fmt::format("\"{}\" at position {} of the pattern is not a step: write D or U (with p i m a for "
                            "the finger, x muted, > accent), - to let the hand pass, or strings like 6p, 6p+1a, "
                            "Rp",
                            word.text, word.position)};
        pattern.steps.push_back(*step);
    }
    if (pattern.steps.empty() || pattern.steps.size() > kMostSteps)
        return Error{ErrorKind::invalid_input, fmt::format("a pattern has 1 to {} steps for one bar; this one has {}",
                                                           kMostSteps, pattern.steps.size())};
    return pattern;
}

std::string StrumPattern::text() const
{
    std::string text;
    for (auto const& step : steps)
        text += (text.empty() ? "" : " ") + step_text(step);
    return text;
}

Result<void> fits_bar(StrumPattern const& pattern, Meter meter)
{
    auto const steps = static_cast<int>(pattern.steps.size());
    bool const several_a_beat = steps % meter.beats == 0;
    bool const several_beats_a_step = steps > 0 && meter.beats % steps == 0;
    if (several_a_beat || several_beats_a_step)
        return {};
    return Error{ErrorKind::invalid_input,
                 fmt::format("{} steps do not divide a bar of {} evenly: use {}, {} or {} steps", steps, meter.text(),
                             meter.beats, 2 * meter.beats, 4 * meter.beats)};
}

std::vector<std::string> count_syllables(Meter meter, int steps)
{
    std::vector<std::string> syllables(static_cast<std::size_t>(std::max(steps, 0)));
    for (int step = 0; step < steps; ++step) {
        // The place of the step in the bar is step/steps; a beat is 1/beats of it.
        int const beat = step * meter.beats / steps;
        int const into = step * meter.beats % steps; // in 1/steps of a beat
        auto& syllable = syllables[static_cast<std::size_t>(step)];
        if (into == 0)
            syllable = std::to_string(beat + 1);
        else if (into * 2 == steps || into * 3 == steps)
            syllable = "&";
        else if (into * 4 == steps)
            syllable = "e";
        else if (into * 4 == 3 * steps || into * 3 == 2 * steps)
            syllable = "a";
    }
    return syllables;
}

} // namespace tabard::overlay
