#include "tests/support/performance/talk.h"

#include "tests/support/performance/note_bank.h"

#include <algorithm>
#include <filesystem>
#include <random>
#include <vector>

#include <fmt/format.h>

namespace tabard::tests {

std::vector<float> talk(std::string const& voice, int words_a_minute)
{
    static constexpr auto kText =
        "Welcome back. Today we look at the whole song, part by part. Keep your third finger down and let the two high "
        "strings ring. Now the same again, only slower. Watch my right hand, it never stops moving. If this shape is "
        "hard, "
        "leave the little finger off for a week. Ready? Listen once, then play along with me. Very good. That was the "
        "verse, and here comes the bridge with its new chord.";
    return floats_from(fmt::format("espeak-ng -v {} -s {} --stdout '{}' | ffmpeg -v error -i - -ac 1 -ar {} -f f32le -",
                                   voice, words_a_minute, kText, kSampleRate));
}

std::vector<float> recorded_talk(std::uint32_t seed)
{
    namespace fs = std::filesystem;
    fs::path const folder = "/usr/share/asterisk/sounds/en_US_f_Allison";
    constexpr std::size_t kSentence = 40'000; // bytes: 2.5 s at 8 kHz and 16 bits; shorter ones are single words
    constexpr std::size_t kSentences = 6;
    if (!fs::exists(folder))
        return {};
    std::vector<fs::path> sentences;
    for (auto const& entry : fs::directory_iterator(folder))
        if (entry.path().extension() == ".wav" && entry.file_size() >= kSentence &&
            !entry.path().filename().string().starts_with("tt-")) // songs and animals
            sentences.push_back(entry.path());
    std::ranges::sort(sentences);
    std::ranges::shuffle(sentences, std::mt19937(seed));
    sentences.resize(std::min(sentences.size(), kSentences));
    std::vector<float> result;
    for (fs::path const& sentence : sentences) {
        auto const spoken =
            floats_from(fmt::format("ffmpeg -v error -i '{}' -ac 1 -ar {} -f f32le -", sentence.string(), kSampleRate));
        result.insert(result.end(), spoken.begin(), spoken.end());
        result.resize(result.size() + kSampleRate / 2);
    }
    return result;
}

} // namespace tabard::tests
