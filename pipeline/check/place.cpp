#include "pipeline/check/place.h"

#include "pipeline/check/picture/picture_facts.h"
#include "pipeline/cues/cue_document.h"
#include "pipeline/cues/writer.h"

namespace tabard::pipeline {

Result<void> write_placement(std::filesystem::path const& cues, overlay::Corner corner)
{
    TRY_ASSIGN(auto document, read_document(cues));
    auto word = JsonValue::string(std::string{placement_word(corner)});
    if (document.find("placement") || document.members.empty())
        document.set("placement", std::move(word));
    else
        document.members.insert(document.members.end() - 1, {"placement", std::move(word), {}}); // sections stay last
    return write_document(document, cues);
}

} // namespace tabard::pipeline
