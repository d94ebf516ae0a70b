#include "pipeline/check/place.h"

#include "pipeline/cues/cue_document.h"
#include "pipeline/cues/reader.h"
#include "pipeline/cues/writer.h"
#include "pipeline/files/changed_file.h"
#include "pipeline/files/file_text.h"

namespace tabard::pipeline {
namespace {

Section const& section_of(Lesson const& lesson, int index) { return lesson.sections[static_cast<std::size_t>(index)]; }

void write_word(JsonValue& object, overlay::Corner corner)
{
    auto word = JsonValue::string(std::string{placement_word(corner)});
    if (object.find("placement") || object.members.empty())
        object.set("placement", std::move(word));
    else
        object.members.insert(object.members.end() - 1, {"placement", std::move(word), {}}); // what is long stays last
}

} // namespace

std::vector<BetterCorner> better_corners(Lesson const& lesson, PictureFacts const& pictures)
{
    std::vector<BetterCorner> better;
    std::vector<SectionCover> together;
    for (SectionCover const& cover : pictures.covers) {
        if (!places_itself(section_of(lesson, cover.section)))
            together.push_back(cover);
        else if (auto const best = best_corner({cover}, cover.corner); best != cover.corner)
            better.push_back({cover.section, best});
    }
    if (auto const best = best_corner(together, pictures.corner); best != pictures.corner)
        better.insert(better.begin(), {std::nullopt, best});
    return better;
}

Result<void> write_placements(Lesson const& lesson, std::vector<BetterCorner> const& corners, Inputs const& inputs)
{
    TRY_ASSIGN(std::string const text, read_file_text(lesson.file, kMostCueFileBytes));
    TRY_ASSIGN(auto document, parse_document(text));
    for (auto const& [section, corner] : corners) {
        if (!section) {
            write_word(document, corner);
            continue;
        }
        // By its place: the lesson leaves out sections that do not say when they begin.
        SourcePosition const at = section_of(lesson, *section).at;
        if (JsonValue* const sections = document.find("sections"))
            for (JsonValue& item : sections->items)
                if (item.at == at)
                    write_word(item, corner);
    }
    TRY_VOID(change_in_place(lesson.file, document_text(document, text), inputs));
    return {};
}

} // namespace tabard::pipeline
