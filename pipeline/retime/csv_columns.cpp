#include "pipeline/retime/csv_columns.h"

#include "overlay/base/small_letters.h"

#include <algorithm>
#include <array>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

enum class Meaning { from, to, at, length, file, keep, remove, speed };

struct Words {
    Meaning meaning;
    std::vector<std::string_view> words;
};

/// Usual headings: common practice, no published source.
std::vector<Words> const& known_words()
{
    static std::vector<Words> const words{
        {Meaning::from, {"from",        "start",     "start time",   "time start",  "begin",     "begin time",
                         "in",          "in point",  "in time",      "tc in",       "in tc",     "timecode in",
                         "mark in",     "source in", "source start", "source from", "start tc",  "start timecode",
                         "clip start",  "von",       "anfang",       "beginn",      "startzeit", "de",
                         "d\u00E9but",  "debut",     "entr\u00E9e",  "entree",      "desde",     "inicio",
                         "in\u00EDcio", "entrada",   "inizio",       "entrata",     "van",       "begintijd"}},
        {Meaning::to, {"to",         "end",       "end time", "time end",     "stop",         "stop time", "out",
                       "out point",  "out time",  "tc out",   "out tc",       "timecode out", "mark out",  "source out",
                       "source end", "source to", "end tc",   "end timecode", "clip end",     "bis",       "ende",
                       "endzeit",    "\u00E0",    "fin",      "sortie",       "hasta",        "salida",    "fim",
                       "fine",       "uscita",    "tot",      "einde",        "eindtijd"}},
        {Meaning::at,
         {"at", "position", "record in", "record start", "film start", "new start", "timeline in", "timeline start"}},
        {Meaning::length,
         {"length", "duration", "dur", "dauer", "l\u00E4nge", "dur\u00E9e", "duree", "duraci\u00F3n", "duracion",
          "durata", "duur"}},
        {Meaning::file,
         {"file", "file name", "filename", "source", "source file", "media", "clip", "clip name", "reel", "video",
          "film", "datei", "dateiname", "fichier", "archivo"}},
        {Meaning::keep, {"keep", "keep?", "use", "use?", "used", "action", "decision", "behalten", "garder"}},
        {Meaning::remove, {"remove", "remove?", "removed", "delete", "cut", "cut?", "drop", "entfernen"}},
        {Meaning::speed,
         {"speed", "speed %", "rate", "playback speed", "geschwindigkeit", "vitesse", "velocidad", "velocit\u00E0"}},
    };
    return words;
}

/// A heading without a unit at its end, and the unit.
struct Heading {
    std::string word;
    std::string unit;
};

Heading heading_of(std::string const& field)
{
    std::string text = csv_word(field);
    std::ranges::replace(text, '_', ' ');
    std::ranges::replace(text, '-', ' ');
    auto const open = text.find_last_of("([");
    Heading heading{text, ""};
    if (open != std::string::npos && open > 0 && (text.ends_with(')') || text.ends_with(']'))) {
        heading.unit = text.substr(open + 1, text.size() - open - 2);
        heading.word = text.substr(0, open);
    }
    heading.word.erase(heading.word.find_last_not_of(" :") + 1);
    return heading;
}

/// A unit in which times are read anyway.
bool is_time_unit(std::string_view unit)
{
    constexpr std::array<std::string_view, 17> kUnits{
        "",     "s",     "sec",     "secs",     "seconds",     "sek",         "sekunden", "secondes", "segundos",
        "m:ss", "mm:ss", "h:mm:ss", "hh:mm:ss", "hh:mm:ss:ff", "hh:mm:ss.ms", "tc",       "timecode"};
    return std::ranges::find(kUnits, unit) != kUnits.end();
}

std::optional<Meaning> meaning_of(Heading const& heading)
{
    for (Words const& known : known_words())
        if (std::ranges::find(known.words, heading.word) != known.words.end())
            return known.meaning;
    return std::nullopt;
}

bool is_time(Meaning meaning) { return meaning < Meaning::file; }

} // namespace

std::string csv_word(std::string_view text)
{
    std::string word = small_letters(std::string{text});
    // U+00C0 to U+00DE but the sign of times: the second byte of their small letters is 0x20 more.
    for (std::size_t i = 0; i + 1 < word.size(); ++i)
        if (auto const next = static_cast<unsigned char>(word[i + 1]);
            word[i] == '\xC3' && next >= 0x80 && next <= 0x9E && next != 0x97)
            word[i + 1] = static_cast<char>(next + 0x20);
    return word;
}

bool names_columns(CsvRecord const& heading)
{
    return std::ranges::any_of(heading.fields, [](std::string const& field) {
        auto const meaning = meaning_of(heading_of(field));
        return meaning && is_time(*meaning);
    });
}

Result<CsvColumns> columns_under(CsvRecord const& heading)
{
    CsvColumns columns;
    columns.count = heading.fields.size();
    for (std::size_t i = 0; i < heading.fields.size(); ++i) {
        Heading const named = heading_of(heading.fields[i]);
        auto const meaning = meaning_of(named);
        if (!meaning)
            continue;
        if (is_time(*meaning) && !is_time_unit(named.unit))
            return wrong_line(
                heading.line,
                fmt::format("column {}: \"{}\" counts in {}; write seconds or h:mm:ss, and the heading \"{}\"", i + 1,
                            heading.fields[i], named.unit, named.word));
        if (*meaning == Meaning::keep || *meaning == Meaning::remove || *meaning == Meaning::speed) {
            (*meaning == Meaning::keep     ? columns.keep
             : *meaning == Meaning::remove ? columns.remove
                                           : columns.speed)
                .push_back(i);
            continue;
        }
        auto& place = *meaning == Meaning::from     ? columns.from
                      : *meaning == Meaning::to     ? columns.to
                      : *meaning == Meaning::at     ? columns.at
                      : *meaning == Meaning::length ? columns.length
                                                    : columns.file;
        if (place && is_time(*meaning))
            return wrong_line(heading.line,
                              fmt::format("columns {} and {} (\"{}\", \"{}\") mean the same; leave one out", *place + 1,
                                          i + 1, heading.fields[*place], heading.fields[i]));
        if (!place)
            place = i;
    }
    if (!columns.from || (!columns.to && !columns.length))
        return wrong_line(heading.line,
                          fmt::format("no column is called \"{}\"; a right heading is from,to or from,to,at",
                                      columns.from ? "to" : "from"));
    return columns;
}

} // namespace tabard::pipeline
