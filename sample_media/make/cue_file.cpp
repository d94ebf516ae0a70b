#include "sample_media/make/cue_file.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::lantern {
namespace {

/// "0:16.6": minutes and seconds, with as many decimals as needed.
std::string clock(int ms)
{
    auto text = fmt::format("\"{}:{:02}.{:03}", ms / 60'000, ms / 1000 % 60, ms % 1000);
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.')
        text.pop_back();
    return text + '"';
}

std::string shown(Score const& score)
{
    std::string text;
    for (auto const& cue : score.shown)
        text += fmt::format("       {{\"chord\": \"{}\", \"from\": {}}}{}\n", cue.chord, clock(cue.from),
                            &cue == &score.shown.back() ? "" : ",");
    return text;
}

std::string pins(Part const& part)
{
    std::string text;
    for (std::size_t i = 0; i < part.pins.size(); ++i)
        text += fmt::format("{}[\"{}.1\", {}]", i == 0 ? "" : ", ", 2 * i + 1, clock(part.pins[i]));
    return text;
}

std::string begin(Part const& part)
{
    return fmt::format("    {{\"name\": \"{}\", \"from\": {}, \"to\": {}", part.name, clock(part.from), clock(part.to));
}

std::string chart(Part const& part) { return fmt::format("     \"bars\": \"{}\"", part.bars); }

std::string sections(Score const& score)
{
    auto const& p = score.parts;
    std::string text;
    text += begin(p[0]) + "},\n";
    text += begin(p[1]) + ",\n     \"show\": [\n" + shown(score) + "     ]},\n";
    text += begin(p[2]) + fmt::format(",\n     \"tempo\": {}, \"count_in\": {}, \"strum\": \"{}\",\n", p[2].tempo,
                                      p[2].count_in, p[2].strum);
    text += chart(p[2]) + "},\n";
    text += begin(p[3]) + fmt::format(",\n     \"tempo\": {}, \"strum\": \"{}\", \"pins\": [[\"1.1\", {}]],\n",
                                      p[3].tempo, p[3].strum, clock(p[3].first_bar));
    text += chart(p[3]) + fmt::format(",\n     \"show\": [{{\"text\": \"p thumb, i index, x tap\", \"from\": {}, "
                                      "\"to\": {}}}]}},\n",
                                      clock(p[3].from + 200), clock(p[3].first_bar));
    text += begin(p[4]) + fmt::format(",\n     \"tempo\": {}, \"strum\": \"{}\",\n", p[4].tempo, p[4].strum);
    text += chart(p[4]) + "},\n";
    text += begin(p[5]) + fmt::format(",\n     \"note\": \"Played freely: every second bar is pinned to the sound.\",\n"
                                      "     \"strum\": \"{}\", \"pins\": [{}],\n",
                                      p[5].strum, pins(p[5]));
    text += chart(p[5]) + "},\n";
    text += begin(p[6]) +
            fmt::format(",\n     \"show\": [{{\"text\": \"If your hands hurt, stop and rest.\", \"from\": {}, "
                        "\"to\": {}}}]}}\n",
                        clock(p[6].from + 400), clock(p[6].to - 400));
    return text;
}

} // namespace

std::string cue_file(Score const& score)
{
    std::string strums;
    for (auto const& strum : score.strums)
        strums += fmt::format("    \"{}\": {{\"steps\": \"{}\"}}{}\n", strum.name, strum.steps,
                              &strum == &score.strums.back() ? "" : ",");
    return fmt::format(R"({{
  "tabard": 1,
  "title": "Lantern on the Quay",
  "footage": "lantern.mp4",
  "instrument": "guitar", "tuning": "E2 A2 D3 G3 B3 E4", "capo": {},
  "key": "C#m", "meter": "4/4", "tempo": 80,
  "shapes": {{
    "C/G": {{"frets": "332010", "fingers": "342-1-"}},
    "F": {{"easy": {{"frets": "xx3211", "fingers": "--3211"}},
          "full": {{"frets": "133211", "fingers": "134211"}}}}
  }},
  "strums": {{
{}  }},
  "sections": [
{}  ]
}}
)",
                       kCapo, strums, sections(score));
}

} // namespace tabard::lantern
