#include "tests/pipeline/check/checked_file.h"

#include "pipeline/cues/reader.h"
#include "pipeline/time/timecode.h"

#include <fstream>
#include <sstream>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace tabard::pipeline {
namespace {

constexpr Time kTwoMinutes{120 * kFlicksPerSecond};

/// None where the file says that the film is missing.
std::optional<FilmFacts> film_beside(std::filesystem::path const& cues)
{
    FilmFacts film;
    film.media = {Time{0}, kTwoMinutes, {25, 1}};
    film.displayed = {1280, 720};
    std::ifstream file(std::filesystem::path(cues).replace_extension(".film.json"));
    if (!file)
        return film;
    auto const json = nlohmann::json::parse(file);
    if (json.contains("missing"))
        return std::nullopt;
    film.media.duration = Time{json.value("seconds", std::int64_t{120}) * kFlicksPerSecond};
    if (json.contains("claimed"))
        film.claimed_end = Time{json["claimed"].get<std::int64_t>() * kFlicksPerSecond};
    if (json.contains("missing_pictures"))
        film.flaws = {{FilmFlaw::Kind::missing, from_seconds(20), from_seconds(20.4), json["missing_pictures"]}};
    if (json.contains("cut_seconds")) {
        CutReading cut;
        cut.new_length = Time{json["cut_seconds"].get<std::int64_t>() * kFlicksPerSecond};
        if (auto const doubt = doubt_of_film(cut, film.media, ""))
            film.doubts.push_back(*doubt);
    }
    film.displayed = {json.value("width", 1280), json.value("height", 720)};
    film.fingerprint = json.value("fingerprint", "");
    if (json.contains("lufs"))
        film.loudness = Loudness{json["lufs"], json["peak"]};
    return film;
}

CheckResult checked(LessonReading reading, std::optional<FilmFacts> const& film, CheckOptions const& options)
{
    if (!reading.lesson)
        return check_result(std::move(reading.findings), options);
    auto const timeline =
        Timeline::resolve(*reading.lesson, film ? film->media : MediaFacts{Time{0}, kTwoMinutes, {25, 1}});
    return check_lesson({*reading.lesson, timeline, film ? &*film : nullptr}, std::move(reading.findings), {}, options);
}

} // namespace

CheckResult checked_file(std::filesystem::path const& cues, CheckOptions const& options)
{
    return checked(read_lesson(cues).value(), film_beside(cues), options);
}

CheckResult checked_text(std::string_view cues, CheckOptions const& options)
{
    return checked(parse_lesson(cues, "lesson.json"), film_beside("lesson.json"), options);
}

std::vector<std::string> codes_of(CheckResult const& result)
{
    std::vector<std::string> codes;
    for (FoldedFinding const& folded : result.findings)
        for (int i = 0; i <= folded.more; ++i)
            codes.push_back(folded.finding.code);
    return codes;
}

} // namespace tabard::pipeline
