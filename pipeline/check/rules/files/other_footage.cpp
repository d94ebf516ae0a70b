#include "pipeline/check/rules/rules.h"
#include "pipeline/files/shell_word.h"
#include "pipeline/time/timecode.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::vector<Finding> find(CheckInput const& input)
{
    if (!input.film || !input.lesson.footage_facts)
        return {};
    FootageFacts const& made_for = *input.lesson.footage_facts;
    MediaFacts const& film = input.film->media;
    auto const report = [&input](SourcePosition at, std::string what) {
        return std::vector{
            kOtherFootage.at(at, std::nullopt, std::move(what),
                             fmt::format("bring the cues onto the new film (tabard retime {} --by CUT -o NEW.json), or "
                                         "take \"made_for\" out if they are right",
                                         shell_word(input.lesson.file.string())))};
    };
    // One finding, from what says most to what says least.
    if (made_for.duration && std::chrono::abs(film.duration - **made_for.duration) > from_frame(2, film.rate))
        return report(made_for.duration->at, fmt::format("the cues were made for a film of {}, and this one lasts {}",
                                                         print_time(**made_for.duration), print_time(film.duration)));
    if (made_for.rate && !(**made_for.rate == film.rate))
        return report(made_for.rate->at, fmt::format("the cues were made for {} frames a second, and this film has {}",
                                                     print_frame_rate(**made_for.rate), print_frame_rate(film.rate)));
    if (made_for.fingerprint && !input.film->fingerprint.empty() && **made_for.fingerprint != input.film->fingerprint)
        return report(made_for.fingerprint->at,
                      "the film has changed since the cues were made: its fingerprint is another");
    return {};
}

} // namespace

Rule const kOtherFootage{
    "other-footage", Severity::warning, "footage other than the one the cues were made for",
    "`tabard start` and `tabard retime` note length, frame rate and a fingerprint of the film. Where they "
    "differ the film was cut or converted since, and every time may be wrong.",
    find};

} // namespace tabard::pipeline
