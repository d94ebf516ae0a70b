#pragma once
#include "overlay/base/result.h"
#include "pipeline/cues/lesson.h"
#include "pipeline/media/media_info.h"

#include <string>
#include <string_view>
#include <vector>

namespace tabard::pipeline {

/// The facts of a lesson as a program reads them: the JSON document of templates/summary.schema.json, with a line end.
std::string summary_json(Lesson const& lesson, std::vector<Chapter> const& chapters);

/// The text for a film's description: the same facts put into a Mustache template (templates/description.mustache,
/// which an author may change: {{title}}, {{#chapters}}{{time}} {{title}}{{/chapters}} ...). Fails with invalid_input
/// where the template is none.
Result<std::string> description(std::string_view mustache, Lesson const& lesson, std::vector<Chapter> const& chapters);

} // namespace tabard::pipeline
