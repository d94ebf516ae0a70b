#include "tests/support/performance/note_bank.h"

#include "overlay/base/precondition.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fluidsynth.h>
#include <fmt/format.h>

namespace tabard::tests {

namespace {

constexpr double kNoteSeconds = 4.0;

struct Synth {
    explicit Synth(std::filesystem::path const& font, int program)
    {
        settings = new_fluid_settings();
        fluid_settings_setnum(settings, "synth.sample-rate", kSampleRate);
        fluid_settings_setint(settings, "synth.reverb.active", 0);
        fluid_settings_setint(settings, "synth.chorus.active", 0);
        fluid_settings_setnum(settings, "synth.gain", 1.0);
        synth = new_fluid_synth(settings);
        PRECONDITION(fluid_synth_sfload(synth, font.c_str(), 1) != FLUID_FAILED);
        fluid_synth_program_change(synth, 0, program);
    }
    Synth(Synth const&) = delete;
    Synth& operator=(Synth const&) = delete;
    ~Synth()
    {
        delete_fluid_synth(synth);
        delete_fluid_settings(settings);
    }

    std::vector<float> note(int midi)
    {
        auto const size = static_cast<std::size_t>(kNoteSeconds * kSampleRate);
        std::vector<float> left(size);
        std::vector<float> right(size);
        fluid_synth_all_sounds_off(synth, 0);
        fluid_synth_noteon(synth, 0, midi, 100);
        fluid_synth_write_float(synth, static_cast<int>(size), left.data(), 0, 1, right.data(), 0, 1);
        for (std::size_t n = 0; n < size; ++n)
            left[n] = 0.5F * (left[n] + right[n]);
        return left;
    }

    fluid_settings_t* settings = nullptr;
    fluid_synth_t* synth = nullptr;
};

/// Files carry silence before the stroke (and an MP3 decoder's delay): the note starts where it reaches 5 % of its
/// peak.
std::vector<float> from_stroke(std::vector<float> samples)
{
    auto const louder = [](float a, float b) { return std::abs(a) < std::abs(b); };
    if (samples.empty())
        return samples;
    float const peak = std::abs(*std::ranges::max_element(samples, louder));
    auto const start = std::ranges::find_if(samples, [=](float s) { return std::abs(s) > 0.05F * peak; });
    samples.erase(samples.begin(), start);
    samples.resize(std::min(samples.size(), static_cast<std::size_t>(kNoteSeconds * kSampleRate)));
    for (float& sample : samples)
        sample *= 0.3F / peak;
    return samples;
}

} // namespace

std::vector<float> const& NoteBank::note(int midi)
{
    auto found = m_notes.find(midi);
    if (found == m_notes.end())
        found = m_notes.emplace(midi, m_fetch(midi)).first;
    return found->second;
}

std::optional<NoteBank> sound_font_notes(std::filesystem::path const& font, int program, std::string name)
{
    if (!std::filesystem::exists(font))
        return std::nullopt;
    auto synth = std::make_shared<Synth>(font, program);
    return NoteBank(std::move(name), [synth](int midi) { return from_stroke(synth->note(midi)); });
}

std::optional<NoteBank> recorded_notes(std::filesystem::path const& folder, std::string name)
{
    static constexpr std::array<char const*, 12> kNames{"C",  "Cs", "D",  "Ds", "E",  "F",
                                                        "Fs", "G",  "Gs", "A",  "As", "B"};
    std::map<int, std::filesystem::path> files;
    for (int midi = 24; midi < 96; ++midi) {
        auto const file = folder / fmt::format("{}{}.mp3", kNames[static_cast<std::size_t>(midi % 12)], midi / 12 - 1);
        if (std::filesystem::exists(file))
            files.emplace(midi, file);
    }
    if (files.empty())
        return std::nullopt;
    return NoteBank(std::move(name), [files](int midi) {
        // A note that the set leaves out is the nearest one played faster or slower.
        auto const nearest =
            std::ranges::min_element(files, {}, [=](auto const& file) { return std::abs(file.first - midi); });
        double const rate = kSampleRate / std::exp2((midi - nearest->first) / 12.0);
        return from_stroke(floats_from(
            fmt::format("ffmpeg -v error -i '{}' -ac 1 -ar {:.0f} -f f32le -", nearest->second.string(), rate)));
    });
}

std::vector<float> floats_from(std::string const& command)
{
    std::unique_ptr<FILE, int (*)(FILE*)> const pipe(popen(command.c_str(), "r"), pclose);
    std::vector<float> samples;
    std::array<float, 4096> block{};
    while (auto const read = pipe ? std::fread(block.data(), sizeof(float), block.size(), pipe.get()) : 0)
        samples.insert(samples.end(), block.begin(), block.begin() + static_cast<std::ptrdiff_t>(read));
    return samples;
}

} // namespace tabard::tests
