#include "pipeline/cues/reader.h"
#include "pipeline/publish/summary.h"

#include <cstddef>
#include <cstdint>

// Any bytes are a template or an error, and what is made of one ends.
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size)
{
    using namespace tabard::pipeline;
    static LessonReading const reading = parse_lesson(
        R"({"tabard": 1, "title": "{{title}}", "footage": "f.mp4", "sections":
            [{"name": "{{#chapters}}", "from": "0:00", "to": "0:04", "show": [{"chord": "C", "from": "0:01"}]}]})",
        "l.json");
    (void)description({reinterpret_cast<char const*>(data), size}, *reading.lesson,
                      {{Time{0}, Time{4 * kFlicksPerSecond}, "{{> self}}"}});
    return 0;
}
