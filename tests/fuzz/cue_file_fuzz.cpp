#include "pipeline/cues/reader.h"
#include "pipeline/cues/writer.h"
#include "pipeline/timeline/timeline.h"

#include <cstddef>
#include <cstdint>
#include <string_view>

// Any bytes are a lesson or findings; a tree that was read is written and read back the same; a lesson can be laid out,
// and its scene is empty before the first and from the last instant on.
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size)
{
    using namespace tabard::pipeline;
    std::string_view const text(reinterpret_cast<char const*>(data), size);
    if (auto const document = parse_document(text); document && parse_document(document_text(*document)) != document)
        __builtin_trap();
    LessonReading const reading = parse_lesson(text, "cues.json");
    if (!reading.lesson) {
        if (reading.findings.empty())
            __builtin_trap();
        return 0;
    }
    auto const timeline = Timeline::resolve(*reading.lesson, {Time{0}, Time{60 * kFlicksPerSecond}, {25, 1}});
    auto const& instants = timeline.change_instants();
    if (instants.empty())
        return 0;
    bool const outside =
        timeline.scene_at(instants.front() - Time{1}).empty() && timeline.scene_at(instants.back()).empty();
    if (!outside)
        __builtin_trap();
    (void)timeline.scene_at(instants[instants.size() / 2]);
    return 0;
}
