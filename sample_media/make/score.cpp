#include "sample_media/make/score.h"

#include <algorithm>
#include <array>

#include <fmt/format.h>

namespace tabard::lantern {
namespace {

constexpr std::array<Grip, 7> kGrips{{
    {"Am", "x02210", "--231-"},
    {"C", "x32010", "-32-1-"},
    {"C/G", "332010", "342-1-"},
    {"Em", "022000", "-23---"},
    {"F", "xx3211", "--3211"},
    {"G", "320003", "21---3"},
    {"", "x00000", "------"}, // the hand rests
}};

Grip const* grip(std::string_view name)
{
    return std::find_if(kGrips.begin(), kGrips.end() - 1, [&](Grip const& g) { return g.name == name; });
}

std::vector<std::string_view> words(std::string_view text)
{
    std::vector<std::string_view> result;
    while (true) {
        auto const begin = text.find_first_not_of(' ');
        if (begin == std::string_view::npos)
            return result;
        auto const end = std::min(text.find(' ', begin), text.size());
        result.push_back(text.substr(begin, end - begin));
        text.remove_prefix(end);
    }
}

/// Start of eighth `step` (of eight to the bar) of the part's chart. All numbers of this lesson divide evenly.
int step_time(Part const& part, int step)
{
    if (part.pins.empty())
        return part.first_bar + step * 30'000 / part.tempo;
    auto const pin = std::min<std::size_t>(static_cast<std::size_t>(step / 16), part.pins.size() - 2);
    int const length = part.pins[pin + 1] - part.pins[pin];
    return part.pins[pin] + (step - static_cast<int>(pin) * 16) * length / 16;
}

/// The chart of a part in 4/4: a chord alone fills its bar, else each chord and each `/` is one beat.
std::vector<ChartSpan> read_chart(Part const& part)
{
    std::vector<ChartSpan> spans;
    int beat = 0;
    std::string const text = std::string{part.bars} + " |";
    std::vector<std::string_view> bar;
    for (auto const word : words(text)) {
        if (word != "|") {
            bar.push_back(word);
            continue;
        }
        for (auto const token : bar) {
            int const beats = bar.size() == 1 ? 4 : 1;
            if (token == "/")
                spans.back().beats += 1;
            else
                spans.push_back({std::string{token}, step_time(part, beat * 2), beats});
            beat += beats;
        }
        bar.clear();
    }
    return spans;
}

Stroke read_step(std::string_view step, int index, Grip const& held)
{
    using Kind = Stroke::Kind;
    Stroke stroke;
    stroke.grip = &held;
    stroke.accent = step.back() == '>';
    if (step == "-") {
        stroke.kind = index % 2 == 0 ? Kind::pass_down : Kind::pass_up;
    } else if (step.front() == 'D' || step.front() == 'U') {
        bool const tapped = step.size() > 1 && step[1] == 'x';
        stroke.kind = tapped ? Kind::tap : step.front() == 'D' ? Kind::down : Kind::up;
    } else {
        stroke.kind = Kind::pluck;
        auto const bass = 6 - static_cast<int>(held.frets.find_first_not_of('x'));
        stroke.string = step.front() == 'R' ? bass : step.front() - '0';
    }
    return stroke;
}

void play(Score& score, Part const& part)
{
    auto const spans = read_chart(part);
    auto const strum =
        std::find_if(score.strums.begin(), score.strums.end(), [&](Strum const& s) { return s.name == part.strum; });
    auto const steps = words(strum->steps);
    for (int beat = 0; beat < part.count_in * 4; ++beat)
        score.strokes.push_back({part.first_bar + (beat - part.count_in * 4) * 60'000 / part.tempo, Stroke::Kind::knock,
                                 beat % 4 == 0, 0, 0, grip(spans.front().chord)});
    int step = 0;
    for (auto const& span : spans) {
        int const end = step + span.beats * 2;
        score.holds.push_back({span.from, step_time(part, end), grip(span.chord)});
        for (; step < end; ++step) {
            auto stroke = read_step(steps[static_cast<std::size_t>(step % 8)], step, *grip(span.chord));
            stroke.at = step_time(part, step);
            score.strokes.push_back(stroke);
        }
    }
    score.chart.insert(score.chart.end(), spans.begin(), spans.end());
}

/// A shape of the talk: an unhurried stroke, so that each string is heard, and then a plain one.
void show(Score& score, Shown const& shown)
{
    score.holds.push_back({shown.from, shown.from + 2200, grip(shown.chord)});
    score.strokes.push_back({shown.from + 400, Stroke::Kind::down, false, 70, 0, grip(shown.chord)});
    score.strokes.push_back({shown.from + 1300, Stroke::Kind::down, false, 12, 0, grip(shown.chord)});
}

/// The hand stays on a grip until the next one, and rests on the first before anything is played.
void close_gaps(Score& score)
{
    std::stable_sort(score.holds.begin(), score.holds.end(), [](auto& a, auto& b) { return a.from < b.from; });
    std::stable_sort(score.strokes.begin(), score.strokes.end(), [](auto& a, auto& b) { return a.at < b.at; });
    for (std::size_t i = 0; i + 1 < score.holds.size(); ++i)
        score.holds[i].to = score.holds[i + 1].from;
    score.holds.back().to = score.length;
}

} // namespace

Score make_score()
{
    Score score;
    score.length = 59'600;
    score.waves = {1'400, 57'400};
    score.strums = {
        {"lapping", "D - - U - U D -"},
        {"rowing", "D U - U D - D U"},
        {"knocking", "Dp - Dx Ui Dp Ui Dx -"},
        {"ripples", "Rp 3i 2m 1a Rp 2m 3i 2m"},
    };
    score.parts = {
        {"Good evening", 0, 4'400, "", "", 0, 0, 0, {}},
        {"The shapes", 4'400, 13'600, "", "", 0, 0, 0, {}},
        {"Verse, slowly", 16'600, 28'600, "Am | F | C | Em", "lapping", 16'600, 80, 1, {}},
        {"The right hand", 28'600, 37'000, "Am | C", "knocking", 31'000, 80, 0, {}},
        {"Chorus", 37'000, 46'600, "F | C / G / | Am / C/G / | F", "rowing", 37'000, 100, 0, {}},
        {"Bridge", 46'600, 56'200, "C | Em | F / G / | Am", "ripples", 46'600, 0, 0, {46'600, 51'480, 56'200}},
        {"Good night", 56'200, 59'600, "", "", 0, 0, 0, {}},
    };
    score.shown = {{"Am", 4'800}, {"C", 7'000}, {"Em", 9'200}, {"F", 11'400}};

    score.holds.push_back({0, 4'800, grip("Am")});
    score.strokes.push_back({400, Stroke::Kind::down, false, 60, 0, grip("Am")});
    for (auto const& shown : score.shown)
        show(score, shown);
    for (auto const& part : score.parts)
        if (!part.bars.empty())
            play(score, part);
    score.holds.push_back({13'600, 16'600, grip("Am")});
    score.holds.push_back({28'600, 31'000, grip("Am")});
    score.holds.push_back({56'200, score.length, grip("Am")});
    score.strokes.push_back({56'600, Stroke::Kind::down, false, 80, 0, grip("Am")});
    close_gaps(score);
    return score;
}

std::string truth(Score const& score)
{
    constexpr std::string_view kKinds[] = {"down", "up", "tap", "pass", "pass", "pluck", "knock"};
    std::string text = "# times in milliseconds; frets counted from the capo, low string first\n";
    for (auto const& part : score.parts)
        text += fmt::format("part {} {} {}\n", part.from, part.to, part.name);
    for (auto const& shown : score.shown)
        text += fmt::format("show {} {}\n", shown.from, shown.chord);
    for (auto const& span : score.chart)
        text += fmt::format("chord {} {} beats {}\n", span.from, span.beats, span.chord);
    for (auto const& hold : score.holds)
        text += fmt::format("hold {} {} {} {}\n", hold.from, hold.to, hold.grip->name, hold.grip->frets);
    for (auto const& stroke : score.strokes)
        text += fmt::format("stroke {} {}{}{} {}\n", stroke.at, kKinds[static_cast<int>(stroke.kind)],
                            stroke.string > 0 ? fmt::format(" {}", stroke.string) : "", stroke.accent ? " accent" : "",
                            stroke.grip->name);
    return text;
}

std::uint64_t digest(Score const& score)
{
    // The published offset basis and prime of FNV-1a, 64 bits.
    std::uint64_t hash = 0xcbf29ce484222325U;
    for (char const byte : truth(score))
        hash = (hash ^ static_cast<unsigned char>(byte)) * 0x100000001b3U;
    return hash;
}

int sounding_note(Grip const& grip, int index)
{
    char const fret = grip.frets[static_cast<std::size_t>(index)];
    return fret == 'x' ? -1 : kOpenStrings[index] + kCapo + (fret - '0');
}

} // namespace tabard::lantern
