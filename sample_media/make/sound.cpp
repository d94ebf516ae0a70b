#include "sample_media/make/sound.h"

#include "sample_media/make/pluck.h"
#include "sample_media/make/room.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fstream>

namespace tabard::lantern {
namespace {

using Kind = Stroke::Kind;

/// One string set off at one instant.
struct Note {
    std::size_t at = 0; ///< sample
    Pluck pluck;
};
using Strings = std::array<std::vector<Note>, 6>;

std::size_t sample_at(int ms) { return static_cast<std::size_t>(ms) * (kSampleRate / 1000); }

void add(Strings& strings, Stroke const& stroke, int index, int delay_ms, double force)
{
    int const note = sounding_note(*stroke.grip, index);
    if (note < 0)
        return;
    auto& string = strings[static_cast<std::size_t>(index)];
    double const frequency = 440.0 * std::exp2((note - 69) / 12.0);
    auto const seed = static_cast<std::uint32_t>(stroke.at * 7 + index + 1);
    string.push_back({sample_at(stroke.at + delay_ms), {frequency, force, stroke.kind == Kind::tap ? 1.0 : 0.0, seed}});
}

/// Which strings a movement sets off, when and how hard. An up-stroke catches the four highest.
void pluck_strings(Strings& strings, Stroke const& stroke)
{
    double const force = stroke.accent ? 1.3 : 1.0;
    int delay = 0;
    switch (stroke.kind) {
    case Kind::down:
    case Kind::tap:
        for (int index = 0; index < 6; ++index) {
            if (sounding_note(*stroke.grip, index) < 0)
                continue;
            add(strings, stroke, index, delay, force * (stroke.kind == Kind::tap ? 0.8 : 1.0));
            delay += stroke.spread;
        }
        return;
    case Kind::up:
        for (int index = 5; index >= 2; --index, delay += stroke.spread)
            add(strings, stroke, index, delay, 0.7 * force);
        return;
    case Kind::pluck:
        add(strings, stroke, 6 - stroke.string, 0, stroke.string >= 4 ? 1.35 : 1.1);
        return;
    case Kind::pass_down:
    case Kind::pass_up:
    case Kind::knock:
        return;
    }
}

/// A string sounds until it is set off again or its finger goes away: then it dies within a hundredth of a second.
void sound_string(std::vector<Note> const& notes, std::vector<float>& out)
{
    constexpr std::size_t kFade = kSampleRate / 100;
    for (std::size_t i = 0; i < notes.size(); ++i) {
        auto const begin = notes[i].at;
        auto const next = i + 1 < notes.size() ? notes[i + 1].at + kFade : out.size();
        auto const end = std::min({next, out.size(), begin + 6 * kSampleRate});
        auto const wave = pluck(notes[i].pluck, end - begin);
        for (std::size_t n = begin; n < end; ++n) {
            auto const left = static_cast<float>(end - n) / static_cast<float>(kFade);
            out[n] += wave[n - begin] * std::min(1.0F, left);
        }
    }
}

/// Strings that the new grip mutes or leaves are stopped as the fingers leave.
void stop_strings(Strings& strings, Score const& score)
{
    for (std::size_t i = 1; i < score.holds.size(); ++i) {
        for (int index = 0; index < 6; ++index) {
            int const before = sounding_note(*score.holds[i - 1].grip, index);
            int const now = sounding_note(*score.holds[i].grip, index);
            if (before >= 0 && before != now)
                strings[static_cast<std::size_t>(index)].push_back(
                    {sample_at(score.holds[i].from) - 720, {100, 0, 1, 1}});
        }
    }
    for (auto& string : strings)
        std::stable_sort(string.begin(), string.end(), [](auto& a, auto& b) { return a.at < b.at; });
}

/// Knuckles on the top, or the palm on damped strings: a short low thump with a little skin.
void knock(std::vector<float>& out, std::size_t at, float force)
{
    std::uint32_t state = static_cast<std::uint32_t>(at) | 1U;
    for (std::size_t n = 0; n < kSampleRate / 8 && at + n < out.size(); ++n) {
        double const t = static_cast<double>(n) / kSampleRate;
        state = state * 1664525U + 1013904223U;
        double const skin = static_cast<double>(static_cast<std::int32_t>(state)) / 2147483648.0 * std::exp(-t * 220);
        out[at + n] += force * static_cast<float>(std::sin(6.2831853 * 190 * t) * std::exp(-t * 45) + 0.5 * skin);
    }
}

} // namespace

std::vector<float> sound(Score const& score)
{
    std::vector<float> mono(sample_at(score.length), 0.0F);
    Strings strings;
    for (auto const& stroke : score.strokes)
        pluck_strings(strings, stroke);
    stop_strings(strings, score);
    for (auto const& string : strings)
        sound_string(string, mono);
    for (auto const& stroke : score.strokes) {
        if (stroke.kind == Kind::knock)
            knock(mono, sample_at(stroke.at), stroke.accent ? 0.6F : 0.4F);
        if (stroke.kind == Kind::tap)
            knock(mono, sample_at(stroke.at), 0.5F);
    }
    return in_the_room(in_the_body(mono));
}

bool write_wav(std::filesystem::path const& path, std::vector<float> const& stereo)
{
    std::ofstream file{path, std::ios::binary};
    auto const number = [&file](std::uint32_t value, int bytes) {
        for (int i = 0; i < bytes; ++i)
            file.put(static_cast<char>(value >> (8 * i)));
    };
    auto const bytes = static_cast<std::uint32_t>(stereo.size() * 2);
    file << "RIFF";
    number(36 + bytes, 4);
    file << "WAVEfmt ";
    number(16, 4);
    number(1, 2); // PCM
    number(2, 2);
    number(kSampleRate, 4);
    number(kSampleRate * 4, 4);
    number(4, 2);
    number(16, 2);
    file << "data";
    number(bytes, 4);
    for (auto const sample : stereo)
        number(static_cast<std::uint32_t>(std::lround(sample * 32767)), 2);
    file.close();
    return file.good();
}

} // namespace tabard::lantern
