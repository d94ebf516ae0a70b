#include "tests/support/performance/conditions.h"
#include "tests/support/performance/microphone.h"
#include "tests/support/performance/room.h"
#include "tests/support/performance/talk.h"

#include <algorithm>
#include <filesystem>
#include <map>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <unistd.h>

namespace tabard::tests {

namespace {

/// Talk of its own for each number, so that no two gaps say the same.
std::vector<float> const& voice_for(std::uint32_t number, bool recorded)
{
    static std::map<std::pair<bool, int>, std::vector<float>> voices;
    int const own = static_cast<int>(recorded ? number % 12 : 125 + number * 13 % 71);
    auto found = voices.find({recorded, own});
    if (found == voices.end()) {
        auto voice = recorded ? recorded_talk(static_cast<std::uint32_t>(own)) : std::vector<float>{};
        if (voice.empty())
            voice = talk("en-gb", recorded ? 130 + own * 5 : own);
        found = voices.emplace(std::pair{recorded, own}, std::move(voice)).first;
    }
    return found->second;
}

/// Begin and end of each time that a part was played, in order of time.
std::vector<pipeline::Stretch> playing_of(Performance const& played)
{
    std::vector<pipeline::Stretch> stretches;
    for (PlayedPart const& part : played.parts) {
        for (Pass const& pass : part.earlier)
            stretches.push_back({pass.beats.front(), pass.beats.back()});
        if (part.played()) {
            double from = part.beats.front();
            for (pipeline::Deviation const& deviation : part.deviations)
                from = std::min(from, deviation.from);
            stretches.push_back({from, part.beats.back()});
        }
    }
    std::ranges::sort(stretches, {}, &pipeline::Stretch::from);
    return stretches;
}

std::vector<float> coded(std::vector<float> const& sound, std::string const& bit_rate)
{
    // Several runs at a time must not share their files.
    auto const scratch =
        std::filesystem::temp_directory_path() / fmt::format("tabard-performance-{}", static_cast<long>(getpid()));
    std::filesystem::create_directories(scratch);
    auto decoded = through_aac(sound, bit_rate, scratch);
    std::filesystem::remove_all(scratch);
    return decoded;
}

} // namespace

std::vector<float> record(Condition const& condition, Performance const& played, NoteBank& bank, std::uint32_t seed)
{
    auto sound = play(played, bank, condition.cents);
    if (condition.reverb_seconds > 0)
        add_reverb(sound, condition.reverb_seconds, 0.7);
    if (condition.singing_level > 0)
        add_singing(sound, played, condition.singing_level);
    if (condition.voice_level > 0)
        add_voice(sound, voice_for(seed, condition.recorded_voice), 0, played.seconds, condition.voice_level);
    if (condition.click > 0)
        add_click(sound, played, condition.click);
    std::uint32_t number = seed;
    if (condition.talk_between) {
        double from = 0.3;
        for (pipeline::Stretch const& stretch : playing_of(played)) {
            add_voice(sound, voice_for(number++, condition.recorded_voice), from, stretch.from - 0.4, 0.8);
            from = stretch.to + 1;
        }
    }
    for (pipeline::Stretch const& pause : played.talk)
        add_voice(sound, voice_for(number++, condition.recorded_voice), pause.from, pause.to, 0.8);
    // No recording is perfectly silent between the notes.
    add_noise(sound, condition.noise_decibels > 0 ? condition.noise_decibels : 50, seed);
    if (condition.hum_decibels > 0)
        add_hum(sound, condition.hum_decibels);
    if (condition.microphone == Microphone::laptop)
        through_laptop(sound, seed + 1);
    if (condition.microphone == Microphone::phone)
        through_phone(sound);
    if (condition.clipped > 0)
        clip(sound, condition.clipped);
    if (condition.aac)
        sound = coded(sound, condition.bit_rate);
    float const peak = std::abs(*std::ranges::max_element(sound, {}, [](float s) { return std::abs(s); }));
    for (float& sample : sound)
        sample *= 0.5F / peak;
    return sound;
}

Take perform(Condition const& condition, NoteBank& bank, std::uint32_t seed)
{
    Take take{build_performance(condition.manner, seed), {}};
    take.sound = record(condition, take.played, bank, seed);
    return take;
}

} // namespace tabard::tests
