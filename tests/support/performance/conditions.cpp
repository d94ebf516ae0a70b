#include "tests/support/performance/conditions.h"

#include "tests/support/performance/room.h"

#include <algorithm>
#include <filesystem>
#include <map>
#include <optional>
#include <random>
#include <utility>
#include <vector>

namespace tabard::tests {

std::vector<Condition> conditions()
{
    Manner const plain;
    Manner picked = plain;
    picked.picked = true;
    Manner pushed = plain;
    pushed.push = 0.45;
    Manner wrong = plain;
    wrong.wrong = 0.12;
    Manner sloppy = plain;
    sloppy.jitter = 0.018;
    sloppy.drift = 0.10;
    sloppy.open_strings = 0.5;
    sloppy.missed = 0.08;
    Manner lesson = plain;
    lesson.gap = 12;
    lesson.noodle = true;
    Manner waltz = plain;
    waltz.beats_per_bar = 3;
    return {
        {.name = "clean", .manner = plain},
        {.name = "three beats in a bar", .manner = waltz},
        {.name = "reverb 1.2 s", .manner = plain, .reverb_seconds = 1.2},
        {.name = "noise at 15 dB", .manner = plain, .noise_decibels = 15},
        {.name = "noise at 5 dB", .manner = plain, .noise_decibels = 5},
        {.name = "30 cents flat", .manner = plain, .cents = -30},
        {.name = "30 cents sharp, AAC 64k", .manner = plain, .cents = 30, .aac = true},
        {.name = "voice at equal level", .manner = plain, .voice_level = 1},
        {.name = "sung melody", .manner = plain, .singing_level = 0.7},
        {.name = "lesson: talk and noodling between", .manner = lesson, .talk_between = true},
        {.name = "finger-picked", .manner = picked},
        {.name = "45 % of changes pushed", .manner = pushed},
        {.name = "wrong chords played", .manner = wrong},
        {.name = "sloppy hands, 10 % drift", .manner = sloppy},
    };
}

namespace {

/// Talk at a pace of its own, so that no two gaps say the same.
std::vector<float> const& voice_for(std::uint32_t number)
{
    static std::map<int, std::vector<float>> voices;
    int const pace = 125 + static_cast<int>(number * 13 % 71);
    auto found = voices.find(pace);
    if (found == voices.end())
        found = voices.emplace(pace, talk("en-gb", pace)).first;
    return found->second;
}

} // namespace

Take perform(Condition const& condition, NoteBank& bank, std::uint32_t seed)
{
    Take take{build_performance(condition.manner, seed), {}};
    auto& sound = take.sound;
    sound = play(take.played, bank, condition.cents);
    if (condition.reverb_seconds > 0)
        add_reverb(sound, condition.reverb_seconds, 0.7);
    if (condition.singing_level > 0)
        add_singing(sound, take.played, condition.singing_level);
    if (condition.voice_level > 0)
        add_voice(sound, voice_for(seed), 0, take.played.seconds, condition.voice_level);
    if (condition.talk_between) {
        double from = 0.3;
        std::uint32_t number = seed;
        for (PlayedPart const& part : take.played.parts) {
            add_voice(sound, voice_for(number++), from, part.beats.front() - 0.4, 0.8);
            from = part.beats.back() + 1;
        }
    }
    // No recording is perfectly silent between the notes.
    add_noise(sound, condition.noise_decibels > 0 ? condition.noise_decibels : 50, seed);
    if (condition.aac)
        sound = through_aac(sound, "64k", std::filesystem::temp_directory_path());
    float const peak = std::abs(*std::ranges::max_element(sound, {}, [](float s) { return std::abs(s); }));
    for (float& sample : sound)
        sample *= 0.5F / peak;
    return take;
}

std::vector<NoteBank> guitars(std::filesystem::path const& notes_folder)
{
    std::vector<NoteBank> banks;
    auto const add = [&](std::optional<NoteBank> bank) {
        if (bank)
            banks.push_back(*std::move(bank));
    };
    std::filesystem::path const fonts = "/usr/share/sounds/sf2";
    add(sound_font_notes(fonts / "TimGM6mb.sf2", 25, "TimGM6mb steel"));
    add(sound_font_notes(fonts / "FluidR3_GM.sf2", 25, "FluidR3 steel"));
    add(sound_font_notes(fonts / "FluidR3_GM.sf2", 24, "FluidR3 nylon"));
    if (!notes_folder.empty())
        add(recorded_notes(notes_folder, "recorded guitar"));
    return banks;
}

} // namespace tabard::tests
