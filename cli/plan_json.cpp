#include "cli/plan_json.h"

#include "cli/json_line.h"
#include "overlay/base/json_reader.h"

#include <cmath>

#include <fmt/format.h>

namespace tabard::cli {
namespace {

double rounded(double seconds, double parts) { return std::round(seconds * parts) / parts; }

/// What every plan says; its groups are still to come.
nlohmann::ordered_json head_json(bool copies, std::string const& reason, double seconds, double to_encode)
{
    return {{"version", 1},
            {"copies", copies},
            {"reason", reason},
            {"seconds", rounded(seconds, 1e3)},
            {"seconds_to_encode", rounded(to_encode, 1e3)}};
}

nlohmann::ordered_json group_json(pipeline::FilmPlanNow const& now, std::size_t number)
{
    pipeline::SpliceSource const& source = *now.plan.source;
    pipeline::GroupPlace const& place = source.groups[number];
    return {{"from", rounded(pipeline::to_seconds(source.shown_at(place.first_picture)), 1e6)},
            {"pictures", place.pictures},
            {"touched", bool{now.plan.touched[number]}}};
}

nlohmann::ordered_json keys_json(pipeline::KeyParts const& parts)
{
    return {{"common", parts.common},
            {"footage", parts.footage},
            {"encoder", parts.encoder},
            {"look", parts.look},
            {"drawing", parts.drawing}};
}

std::string text_at(nlohmann::ordered_json const& json, char const* name)
{
    return json.is_object() && json.contains(name) && json[name].is_string() ? json[name].get<std::string>() : "";
}

} // namespace

std::string plan_json(pipeline::FilmPlanNow const& now)
{
    pipeline::FilmPlan const& plan = now.plan;
    double const whole = pipeline::to_seconds(plan.whole_time);
    double const to_encode = plan.source ? pipeline::to_seconds(now.time_to_encode()) : whole;
    auto json = head_json(plan.source.has_value(), plan.why_whole, whole, to_encode);
    if (now.seconds)
        json["expected_render_seconds"] = rounded(*now.seconds, 10);
    if (now.groups)
        json["keys"] = keys_json(now.groups->parts);
    auto& groups = json["groups"] = nlohmann::ordered_json::array();
    for (std::size_t i = 0; plan.source && i < plan.touched.size(); ++i)
        groups.push_back(group_json(now, i));
    for (std::size_t i = 0; now.groups && i < now.groups->touched.size(); ++i) {
        pipeline::PlannedGroup const& group = now.groups->touched[i];
        groups[group.number].update({{"key", group.key}, {"cached", group.cached}, {"bytes", group.bytes}});
    }
    return json_line(json);
}

std::string copy_plan_json(pipeline::Time whole)
{
    auto json = head_json(true, "", pipeline::to_seconds(whole), 0);
    json["groups"] = nlohmann::ordered_json::array();
    return json_line(json);
}

Result<pipeline::ExpectedKeys> parse_plan(std::string const& text, std::string const& name)
{
    auto const json = parse_json(text);
    pipeline::ExpectedKeys expected;
    if (json && json->is_object() && json->contains("keys")) {
        auto const& parts = (*json)["keys"];
        expected.parts = {text_at(parts, "common"), text_at(parts, "footage"), text_at(parts, "encoder"),
                          text_at(parts, "look"), text_at(parts, "drawing")};
    }
    if (expected.parts.common.empty() || !json->contains("groups") || !(*json)["groups"].is_array())
        return Error{ErrorKind::invalid_input,
                     fmt::format("'{}' is no plan with keys: make it with render --plan --json", name)};
    for (auto const& group : (*json)["groups"])
        if (std::string key = text_at(group, "key"); !key.empty())
            expected.keys.push_back(std::move(key));
    return expected;
}

} // namespace tabard::cli
