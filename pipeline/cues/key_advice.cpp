#include "pipeline/cues/key_advice.h"

#include "overlay/base/small_letters.h"

#include <algorithm>
#include <array>
#include <string>
#include <utility>

namespace tabard::pipeline {
namespace {

/// A word that authors write, bare(), and what it may mean. The first key that the object knows counts.
struct OtherWord {
    std::string_view word;
    std::string_view key;
};

constexpr auto kOtherWords = std::to_array<OtherWord>({
    {"start", "from"},
    {"starts", "from"},
    {"begin", "from"},
    {"begins", "from"},
    {"beginning", "from"},
    {"at", "from"},
    {"in", "from"},
    {"since", "from"},
    {"starttime", "from"},
    {"timecode", "from"},
    {"timestamp", "from"},
    {"time", "from"},
    {"time", "meter"},
    {"end", "to"},
    {"ends", "to"},
    {"until", "to"},
    {"till", "to"},
    {"stop", "to"},
    {"out", "to"},
    {"endtime", "to"},
    {"finish", "to"},
    {"bpm", "tempo"},
    {"speed", "tempo"},
    {"beatsperminute", "tempo"},
    {"pace", "tempo"},
    {"timesignature", "meter"},
    {"timesig", "meter"},
    {"signature", "meter"},
    {"metre", "meter"},
    {"measure", "meter"},
    {"beat", "meter"},
    {"beats", "meter"},
    {"chords", "bars"},
    {"cords", "bars"},
    {"chord", "bars"},
    {"cord", "bars"},
    {"accords", "bars"},
    {"chart", "bars"},
    {"changes", "bars"},
    {"progression", "bars"},
    {"harmony", "bars"},
    {"measures", "bars"},
    {"music", "bars"},
    {"bar", "bars"},
    {"cord", "chord"},
    {"chords", "chord"},
    {"title", "name"},
    {"label", "name"},
    {"heading", "name"},
    {"section", "name"},
    {"part", "name"},
    {"name", "title"},
    {"lesson", "title"},
    {"heading", "title"},
    {"song", "title"},
    {"strumming", "strum"},
    {"strums", "strum"},
    {"strumpattern", "strum"},
    {"pattern", "strum"},
    {"rhythm", "strum"},
    {"picking", "strum"},
    {"strum", "strums"},
    {"strumming", "strums"},
    {"patterns", "strums"},
    {"strumpatterns", "strums"},
    {"rhythms", "strums"},
    {"lyrics", "words"},
    {"lyric", "words"},
    {"word", "words"},
    {"singing", "words"},
    {"parts", "sections"},
    {"part", "sections"},
    {"section", "sections"},
    {"segments", "sections"},
    {"verses", "sections"},
    {"film", "footage"},
    {"video", "footage"},
    {"movie", "footage"},
    {"file", "footage"},
    {"media", "footage"},
    {"clip", "footage"},
    {"source", "footage"},
    {"videofile", "footage"},
    {"capofret", "capo"},
    {"capoposition", "capo"},
    {"kapo", "capo"},
    {"language", "names"},
    {"notenames", "names"},
    {"notation", "names"},
    {"tonality", "key"},
    {"keysignature", "key"},
    {"scale", "key"},
    {"strings", "tuning"},
    {"shape", "shapes"},
    {"voicings", "shapes"},
    {"fingerings", "shapes"},
    {"diagrams", "shapes"},
    {"chordshapes", "shapes"},
    {"lefty", "left_handed"},
    {"left", "left_handed"},
    {"position", "placement"},
    {"corner", "placement"},
    {"style", "theme"},
    {"look", "theme"},
    {"skin", "theme"},
    {"url", "link"},
    {"website", "link"},
    {"count", "count_in"},
    {"precount", "count_in"},
    {"pin", "pins"},
    {"times", "pins"},
    {"timings", "pins"},
    {"cues", "show"},
    {"display", "show"},
    {"version", "tabard"},
    {"format", "tabard"},
    {"stroke", "steps"},
    {"strokes", "steps"},
    {"pattern", "steps"},
    {"step", "steps"},
    {"fret", "frets"},
    {"shape", "frets"},
    {"finger", "fingers"},
    {"fingering", "fingers"},
    {"caption", "text"},
    {"subtitle", "text"},
    {"comment", "note"},
    {"comments", "note"},
    {"remark", "note"},
    {"description", "note"},
    {"why", "reason"},
    {"because", "reason"},
    {"finding", "code"},
    {"part", "section"},
});

constexpr std::array<std::string_view, 12> kOfSections{"from", "to",       "bars",  "words", "show",  "pins",
                                                       "name", "count_in", "strum", "piece", "seams", "text"};
constexpr std::array<std::string_view, 14> kOfLessons{"capo",   "key",    "title",       "footage", "instrument",
                                                      "tuning", "shapes", "theme",       "link",    "accept",
                                                      "strums", "tabard", "left_handed", "names"};

/// In small letters, without the signs that join words.
std::string bare(std::string_view key)
{
    std::string letters;
    for (char const c : key)
        if (c != '_' && c != '-' && c != ' ' && c != ':')
            letters += small_letter(c);
    return letters;
}

} // namespace

std::optional<std::string_view> meant_key(std::string_view written, std::span<std::string_view const> known)
{
    std::string const letters = bare(written);
    auto const same = std::ranges::find_if(known, [&](std::string_view key) { return bare(key) == letters; });
    if (same != known.end())
        return *same;
    for (auto const& [word, key] : kOtherWords)
        if (word == letters && std::ranges::find(known, key) != known.end())
            return key;
    return std::nullopt;
}

std::string_view place_of_key(std::string_view key)
{
    if (std::ranges::find(kOfSections, key) != kOfSections.end())
        return "into a part";
    if (std::ranges::find(kOfLessons, key) != kOfLessons.end())
        return "at the top of the file, beside \"title\"";
    return "";
}

} // namespace tabard::pipeline
