#include "overlay/music/hand/hand.h"
#include "overlay/music/shapes/chord_naming.h"
#include "overlay/music/shapes/shape.h"
#include "overlay/music/shapes/text_diagram.h"

#include <cstddef>
#include <cstdint>
#include <string_view>

// Two lines: frets and fingers. Any text is a shape or an error; a shape can be printed, judged, named and drawn.
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size)
{
    using namespace tabard::overlay;
    std::string_view const text(reinterpret_cast<char const*>(data), size);
    auto const line_end = text.find('\n');
    auto const fingers = line_end == std::string_view::npos ? std::string_view{} : text.substr(line_end + 1);
    auto const shape = Shape::parse(text.substr(0, line_end), fingers);
    if (shape) {
        if (Shape::parse(shape->frets_text(), shape->fingers_text()).value() != *shape)
            __builtin_trap();
        text_diagram(*shape);
        Tuning const tuning;
        if (shape->frets.size() == tuning.open_strings.size()) {
            judge_hand(*shape, tuning, 648);
            names_of(*shape, tuning);
        }
    }
    static_cast<void>(Tuning::parse(text));
    return 0;
}
