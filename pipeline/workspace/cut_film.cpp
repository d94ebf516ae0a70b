#include "pipeline/workspace/cut_film.h"

#include "pipeline/time/timecode.h"

#include <algorithm>
#include <array>
#include <chrono>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// Whether so many frames are full hours, dropping frames or, at rates that know it, not.
bool are_hours(std::int64_t frames, FrameRate rate)
{
    return std::ranges::any_of(std::array{"01:00:00:00", "01:00:00;00"}, [=](char const* label) {
        auto const hour = timecode_frame(label, rate);
        return hour && frames % *hour == 0;
    });
}

} // namespace

std::optional<CutDoubt> doubt_of_film(CutReading const& cut, MediaFacts const& film, std::string_view first_label)
{
    if (std::chrono::abs(film.duration - cut.new_length) > from_frame(1, film.rate))
        return CutDoubt{fmt::format("the cut makes a film of {}, and this one lasts {}", print_time(cut.new_length),
                                    print_time(film.duration)),
                        "give the film of this cut with --footage, or the cut of this film"};
    auto const label = timecode_frame(first_label, film.rate);
    if (!cut.first_frame || !label)
        return std::nullopt;
    std::int64_t const later = *cut.first_frame - *label;
    if (are_hours(later, film.rate) || (are_hours(*cut.first_frame, film.rate) && are_hours(*label, film.rate)))
        return std::nullopt;
    return CutDoubt{fmt::format("the film's first frame is {}, and the cut counts its first from {:.4g} s {}",
                                first_label, to_seconds(from_frame(std::abs(later), film.rate)),
                                later > 0 ? "later" : "earlier"),
                    fmt::format("say --record-start {} if the film is right", first_label)};
}

} // namespace tabard::pipeline
