#include "tests/overlay/music/chords_db.h"

#include <filesystem>
#include <fstream>
#include <utility>
#include <vector>

#include <nlohmann/json.hpp>

namespace tabard::overlay {
namespace {

Voicing voicing_of(nlohmann::json const& position)
{
    Voicing voicing;
    int const base = position.at("baseFret").get<int>();
    for (int const fret : position.at("frets"))
        voicing.shape.frets.push_back(fret > 0 ? fret + base - 1
                                               : fret); // its frets are counted inside the drawn window
    voicing.shape.fingers = position.at("fingers").get<std::vector<int>>();
    voicing.midi = position.at("midi").get<std::vector<int>>();
    return voicing;
}

} // namespace

std::vector<Voicing> read_chords_db(std::filesystem::path const& file)
{
    std::ifstream stream(file);
    auto const all = nlohmann::json::parse(stream);
    std::vector<Voicing> voicings;
    for (auto const& key : all.at("chords"))
        for (auto const& chord : key) {
            int number = 0;
            for (auto const& position : chord.at("positions")) {
                auto voicing = voicing_of(position);
                voicing.key = chord.at("key");
                voicing.suffix = chord.at("suffix");
                voicing.number = ++number;
                voicings.push_back(std::move(voicing));
            }
        }
    return voicings;
}

} // namespace tabard::overlay
