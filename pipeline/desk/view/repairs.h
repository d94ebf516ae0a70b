#pragma once
#include "pipeline/cues/finding.h"
#include "pipeline/desk/file/document_place.h"

#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// One edit of the document (see POST edit): a value, or another key for what has one, or none where it is taken out.
struct RepairEdit {
    DocumentPath path;
    std::optional<JsonValue> value;
    std::string key = {};
};

/// A way to fix a finding.
struct Repair {
    std::string words; ///< for a button: "Write \"tempo\""
    std::vector<RepairEdit> edits;
};

/// Those that are certain: what the finding's own words advise, where they name one thing to write or to take out.
/// `place` is that of the finding in `document`.
std::vector<Repair> repairs_of(Finding const& finding, DocumentPlace const& place, JsonValue const& document);

} // namespace tabard::pipeline
