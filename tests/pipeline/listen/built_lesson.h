#pragma once
#include "pipeline/cues/reader.h"
#include "tests/support/performance/note_bank.h"
#include "tests/support/performance/performance.h"

#include <stdexcept>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

namespace tabard::tests {

inline pipeline::Lesson lesson_of(std::string const& text)
{
    auto reading = pipeline::parse_lesson(text, "lesson.json");
    EXPECT_TRUE(reading.usable()) << (reading.findings.empty() ? "" : reading.findings[0].what);
    return *reading.lesson;
}

/// A lesson of a built song: rough times, then the truth to compare with.
class BuiltLesson : public testing::Test {
protected:
    static constexpr auto kBars = "C | Am | F | G | C | Am | F / G / | C";

    BuiltLesson()
    {
        auto bank = sound_font_notes("/usr/share/sounds/sf2/TimGM6mb.sf2", 25, "steel");
        if (!bank)
            throw std::runtime_error("install timgm6mb-soundfont");
        // A steady strum on every beat, 100 a minute, from 5.0 s: frets of x32010, x02210, 133211, 320003.
        std::vector<std::vector<int>> const shapes{
            {48, 52, 55, 60, 64}, {45, 52, 57, 60, 64}, {41, 48, 53, 57, 60, 65}, {43, 47, 50, 55, 59, 67}};
        std::vector<int> const beats{0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 3,
                                     0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 3, 3, 0, 0, 0, 0};
        Performance song;
        for (std::size_t beat = 0; beat < beats.size(); ++beat) {
            auto const& notes = shapes[static_cast<std::size_t>(beats[beat])];
            for (std::size_t n = 0; n < notes.size(); ++n)
                song.strikes.push_back({5 + 0.6 * static_cast<double>(beat) + 0.005 * static_cast<double>(n),
                                        static_cast<int>(n), notes[n], 0.8F});
        }
        song.seconds = 27;
        sound = play(song, *bank);
    }

    static std::string text(std::string const& from, std::string const& more = "")
    {
        return fmt::format(R"({{"tabard": 1, "title": "t", "footage": "f.mp4", "tempo": 96, "mine": 7,
  "sections": [{{"name": "Song", "note": "keep me", "from": "{}", "bars": "{}"{}}}]}})",
                           from, kBars, more);
    }

    std::vector<float> sound;
};

} // namespace tabard::tests
