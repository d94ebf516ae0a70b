#include "tests/support/performance/guitars.h"

#include "tests/support/paths.h"

#include <filesystem>
#include <optional>
#include <utility>

#include <fmt/format.h>

namespace tabard::tests {

namespace {

void add(std::vector<NoteBank>& banks, std::optional<NoteBank> bank)
{
    if (bank)
        banks.push_back(*std::move(bank));
}

} // namespace

std::vector<NoteBank> sound_font_guitars()
{
    std::vector<NoteBank> banks;
    std::filesystem::path const fonts = "/usr/share/sounds/sf2";
    add(banks, sound_font_notes(fonts / "TimGM6mb.sf2", 25, "TimGM6mb steel"));
    add(banks, sound_font_notes(fonts / "FluidR3_GM.sf2", 25, "FluidR3 steel"));
    add(banks, sound_font_notes(fonts / "FluidR3_GM.sf2", 24, "FluidR3 nylon"));
    return banks;
}

std::vector<NoteBank> guitars()
{
    auto banks = sound_font_guitars();
    auto const modules = source_folder() / "build/outside/node_modules";
    for (char const* kind : {"acoustic", "nylon", "electric"})
        add(banks, recorded_notes(modules / fmt::format("tonejs-instrument-guitar-{}-mp3", kind),
                                  fmt::format("recorded {}", kind)));
    return banks;
}

} // namespace tabard::tests
