#include "pipeline/desk/music/tap_answer.h"

#include "pipeline/desk/music/tap_edits.h"
#include "pipeline/desk/view/json.h"
#include "pipeline/timeline/tempo_map.h"

#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::pipeline {
namespace {

constexpr std::size_t kMostPasses = 20;
constexpr std::size_t kMostTaps = 5000; ///< of a pass
constexpr double kLatest = 1e6;         ///< seconds

struct TapRequest {
    int part = 0;
    TapEach each = TapEach::change;
    std::vector<std::vector<double>> passes;
};

std::optional<double> number_of(Json const& value)
{
    if (!value.is_number())
        return std::nullopt;
    double const number = value.get<double>();
    return std::isfinite(number) && std::abs(number) < kLatest ? std::optional(number) : std::nullopt;
}

std::optional<std::vector<std::vector<double>>> passes_of(Json const& list, double late)
{
    if (!list.is_array() || list.size() > kMostPasses)
        return std::nullopt;
    std::vector<std::vector<double>> passes;
    for (Json const& each : list) {
        if (!each.is_array() || each.size() > kMostTaps)
            return std::nullopt;
        std::vector<double> pass;
        for (Json const& tap : each) {
            auto const seconds = number_of(tap);
            if (!seconds)
                return std::nullopt;
            pass.push_back(*seconds - late);
        }
        if (!pass.empty())
            passes.push_back(std::move(pass));
    }
    return passes;
}

std::optional<TapRequest> request_of(std::string_view body)
{
    Json const read = Json::parse(body, nullptr, false);
    if (!read.is_object() || !read.contains("part") || !read["part"].is_number_integer() || !read.contains("passes"))
        return std::nullopt;
    Json const each = read.value("each", Json("change"));
    auto const late = number_of(read.value("late", Json(0)));
    if (!late || (each != "change" && each != "beat"))
        return std::nullopt;
    auto passes = passes_of(read["passes"], *late);
    auto const part = read["part"].get<std::int64_t>();
    if (!passes || part < 0 || part > 1'000'000)
        return std::nullopt;
    return TapRequest{static_cast<int>(part), each == "beat" ? TapEach::beat : TapEach::change, *std::move(passes)};
}

/// The taps of one pass, in their order. What a part begins with before its first chord is not tapped.
Json asks_of(Section const& section, TapEach each)
{
    Json asks = Json::array();
    if (!section.bars || (*section.bars)->bars() == 0)
        return asks;
    TapTargets const targets = each == TapEach::beat ? beat_targets(section, 0) : change_targets(section);
    for (std::size_t n = 0; n + 1 < targets.ticks.size(); ++n)
        if (n > 0 || !targets.targets[n].optional)
            asks.push_back({{"bar", BarPosition::from_offset(targets.ticks[n], *section.meter).text()},
                            {"chord", targets.chords[n]}});
    return asks;
}

Json pins_json(std::vector<Pin> const& pins)
{
    Json json = Json::array();
    for (Pin const& pin : pins)
        json.push_back(Json::array({pin.position.text(), json_seconds(pin.time)}));
    return json;
}

Json tempo_json(std::optional<Tempo> tempo)
{
    if (!tempo)
        return nullptr;
    return std::round(static_cast<double>(tempo->thousandths) / 100) / 10;
}

Json tapped_json(JsonValue const& document, PartOfFile const& part, TappedPart const& tapped)
{
    TapEdits const edits = tap_edits(document, part, tapped);
    auto warnings = tapped.warnings;
    warnings.insert(warnings.end(), edits.warnings.begin(), edits.warnings.end());
    return {{"pins", pins_json(tapped.pins)},
            {"tempo", tempo_json(tapped.tempo)},
            {"spread", std::round(tapped.spread * 1e6) / 1e6},
            {"words", fmt::format("{}", fmt::join(tapped.words, "; "))},
            {"warning", fmt::format("{}", fmt::join(warnings, "; "))},
            {"edits", json_of(edits.edits)}};
}

} // namespace

Answer tap_answer(LessonView const& view, std::string_view body)
{
    auto const request = request_of(body);
    if (!request)
        return refusal(400, "the taps cannot be understood");
    auto const part = part_of_file(view, request->part);
    if (!part)
        return refusal(part.error());
    Json answer = Json::object();
    if (!request->passes.empty()) {
        auto const tapped = tapped_part(part->own(), request->each, request->passes);
        if (!tapped)
            return refusal(tapped.error());
        answer = tapped_json(view.file.document, *part, *tapped);
    }
    answer["asks"] = asks_of(part->own(), request->each);
    return json_answer(answer);
}

} // namespace tabard::pipeline
