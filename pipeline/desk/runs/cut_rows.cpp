#include "pipeline/desk/runs/cut_rows.h"

#include "pipeline/desk/view/json.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr std::size_t kMostRows = 2000; // nobody reads more

std::string title_of(Json const& cue)
{
    std::string const kind = cue.at("kind");
    std::string const name = cue.at("name");
    if (kind == "section")
        return fmt::format("part {}", name);
    std::string const bar = cue.contains("bar") ? fmt::format(", bar {}", cue.at("bar").get<int>()) : "";
    return fmt::format("{}{}{} in {}{}", kind, name.empty() ? "" : " ", name, cue.at("section").get<std::string>(),
                       bar);
}

Json row_of(Json const& cue)
{
    bool const is_part = cue.at("kind") == "section";
    Json const& after = cue.at("after");
    std::string words = title_of(cue);
    if (after.size() > 1)
        words += fmt::format(", {} times", after.size());
    if (cue.contains("why"))
        words += fmt::format(": {}", cue.at("why").get<std::string>());
    return {{"part", is_part ? cue.at("name") : cue.at("section")},
            {"what", cue.at("fate")},
            {"words", words},
            {"before", cue.at("before").at("from")},
            {"after", after.empty() ? Json(nullptr) : after.front().at("from")}};
}

Json rows_of(Json const& report, Json& remarks)
{
    Json rows = Json::array();
    std::size_t more = 0;
    for (Json const& cue : report.at("cues")) {
        if (cue.at("kind") != "section" && cue.at("fate") == "moved")
            continue;
        if (rows.size() < kMostRows)
            rows.push_back(row_of(cue));
        else
            ++more;
    }
    if (more > 0)
        remarks.push_back(fmt::format("{} more cues did not simply move", more));
    return rows;
}

/// Notes of the command, but for what it wrote.
void add_notes(std::string_view said, Json& remarks)
{
    while (!said.empty()) {
        std::size_t const end = std::min(said.find('\n'), said.size());
        std::string_view const line = said.substr(0, end);
        said.remove_prefix(std::min(end + 1, said.size()));
        if (!line.empty() && !line.starts_with("Wrote "))
            remarks.push_back(line);
    }
}

} // namespace

Result<std::string> cut_rows(std::string_view text, std::string_view said, std::string const& lesson,
                             std::string const& film)
{
    try {
        Json const report = Json::parse(text);
        Json remarks = report.at("remarks");
        add_notes(said, remarks);
        Json rows = rows_of(report, remarks);
        return json_text(
            {{"rows", std::move(rows)}, {"remarks", std::move(remarks)}, {"lesson", lesson}, {"film", film}});
    } catch (Json::exception const&) {
        return Error{ErrorKind::decode, "what the cut did is not understood"};
    }
}

} // namespace tabard::pipeline
