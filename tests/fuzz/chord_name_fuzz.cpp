#include "overlay/music/names/chord_name.h"
#include "overlay/music/names/key.h"

#include <cstddef>
#include <cstdint>
#include <string_view>

// Any text is a chord name or an error that suggests only names; what was read is printed and read back the same.
extern "C" int LLVMFuzzerTestOneInput(std::uint8_t const* data, std::size_t size)
{
    using namespace tabard::overlay;
    std::string_view const text(reinterpret_cast<char const*>(data), size);
    if (auto const chord = ChordName::parse(text)) {
        if (ChordName::parse(chord->text()).value() != *chord)
            __builtin_trap();
        chord->notes();
    }
    label_of(text);
    if (auto const key = Key::parse(text); key && Key::parse(key->text()).value() != *key)
        __builtin_trap();
    return 0;
}
