// Makes the demo lesson's footage and cue file. See README.md in this folder's parent.
#include "sample_media/make/cue_file.h"
#include "sample_media/make/film.h"
#include "sample_media/make/score.h"
#include "sample_media/make/sound.h"

#include <charconv>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <string_view>

#include <fmt/format.h>

namespace lantern = tabard::lantern;

namespace {

bool write_text(std::filesystem::path const& path, std::string const& text)
{
    std::ofstream file{path, std::ios::binary};
    file << text;
    file.close();
    return file.good();
}

int usage()
{
    fmt::print(stderr, "usage: make_lantern FOLDER           lantern.mp4 and lantern.json\n"
                       "       make_lantern --truth          what is played when\n"
                       "       make_lantern --cues           lantern.json\n"
                       "       make_lantern --sound WAV      the sound alone\n"
                       "       make_lantern --still MS PNG   one picture\n");
    return 2;
}

int make(std::filesystem::path const& folder)
{
    auto const score = lantern::make_score();
    auto const wav = folder / "lantern.part.wav";
    bool const done = write_text(folder / "lantern.json", lantern::cue_file(score)) &&
                      lantern::write_wav(wav, lantern::sound(score)) &&
                      lantern::write_film(score, wav, folder / "lantern.mp4");
    std::error_code ignored;
    std::filesystem::remove(wav, ignored);
    return done ? 0 : 1;
}

int still(std::string_view ms, std::filesystem::path const& png)
{
    int time = 0;
    if (std::from_chars(ms.data(), ms.data() + ms.size(), time).ec != std::errc{})
        return usage();
    return lantern::write_still(lantern::make_score(), time, png) ? 0 : 1;
}

} // namespace

int main(int count, char** words)
{
    std::string_view const first = count > 1 ? words[1] : "";
    if (count == 2 && first == "--truth")
        return fmt::print("{}", lantern::truth(lantern::make_score())), 0;
    if (count == 2 && first == "--cues")
        return fmt::print("{}", lantern::cue_file(lantern::make_score())), 0;
    if (count == 3 && first == "--sound")
        return lantern::write_wav(words[2], lantern::sound(lantern::make_score())) ? 0 : 1;
    if (count == 4 && first == "--still")
        return still(words[2], words[3]);
    if (count == 2 && !first.starts_with('-'))
        return make(words[1]);
    return usage();
}
