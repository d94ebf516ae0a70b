#include "pipeline/cues/chart_text.h"

namespace tabard::pipeline {

void ChartText::append_line(std::string_view line, std::vector<SourcePosition> line_places)
{
    auto const last = text.find_last_not_of(" \t");
    auto const first = line.find_first_not_of(" \t");
    if (last != std::string::npos && first != std::string_view::npos) {
        bool const closed = text[last] == '|';
        bool const opened = line[first] == '|' || line.substr(first).starts_with(":|");
        std::string_view const join = closed && opened ? "" : closed || opened ? " " : " | ";
        if (closed && opened) {
            text.resize(last + 1);
            places.resize(last + 1);
            line_places.erase(line_places.begin(), line_places.begin() + static_cast<std::ptrdiff_t>(first));
            line.remove_prefix(first);
        }
        text += join;
        places.insert(places.end(), join.size(), line_places.front());
    }
    text += line;
    places.insert(places.end(), line_places.begin(), line_places.end() - 1);
}

} // namespace tabard::pipeline
