#include "pipeline/retime/csv_columns.h"

#include "overlay/base/caseless.h"

#include <algorithm>
#include <array>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

enum class Meaning { from, to, at, at_end, length, file, reel, keep, remove, speed, track, order };

struct Words {
    Meaning meaning;
    std::vector<std::string_view> words;
};

/// Usual headings: common practice, no published source.
std::vector<Words> const& known_words()
{
    static std::vector<Words> const words{
        {Meaning::from,
         {"from",
          "start",
          "start time",
          "time start",
          "begin",
          "begin time",
          "in",
          "in point",
          "in time",
          "tc in",
          "in tc",
          "timecode in",
          "mark in",
          "source in",
          "source start",
          "source from",
          "start tc",
          "start timecode",
          "clip start",
          "von",
          "anfang",
          "beginn",
          "startzeit",
          "de",
          "d\u00E9but",
          "debut",
          "entr\u00E9e",
          "entree",
          "desde",
          "inicio",
          "in\u00EDcio",
          "entrada",
          "inizio",
          "entrata",
          "van",
          "begintijd",
          "timestamp in",
          "start timestamp",
          "od",
          "pocz\u0105tek",
          "startid",
          "\u043D\u0430\u0447\u0430\u043B\u043E",
          "ba\u015Flang\u0131\u00E7",
          "\u5F00\u59CB",
          "\u958B\u59CB",
          "\uC2DC\uC791"}},
        {Meaning::to,
         {"to",
          "end",
          "end time",
          "time end",
          "stop",
          "stop time",
          "out",
          "out point",
          "out time",
          "tc out",
          "out tc",
          "timecode out",
          "mark out",
          "source out",
          "source end",
          "source to",
          "end tc",
          "end timecode",
          "clip end",
          "bis",
          "ende",
          "endzeit",
          "\u00E0",
          "fin",
          "sortie",
          "hasta",
          "salida",
          "fim",
          "fine",
          "uscita",
          "tot",
          "einde",
          "eindtijd",
          "timestamp out",
          "end timestamp",
          "finish",
          "do",
          "koniec",
          "slut",
          "sluttid",
          "\u043A\u043E\u043D\u0435\u0446",
          "biti\u015F",
          "\u7ED3\u675F",
          "\u7D42\u4E86",
          "\uB05D"}},
        {Meaning::at,
         {"at", "position", "record in", "record start", "film start", "new start", "timeline in", "timeline start"}},
        {Meaning::at_end, {"record out", "record end", "film end", "new end", "timeline out", "timeline end"}},
        {Meaning::length,
         {"length", "duration", "dur", "dauer", "l\u00E4nge", "dur\u00E9e", "duree", "duraci\u00F3n", "duracion",
          "durata", "duur"}},
        {Meaning::file,
         {"file", "file name", "filename", "source file", "clip", "clip name", "video", "film", "datei", "dateiname",
          "fichier", "archivo"}},
        {Meaning::reel, {"reel", "reel name", "tape", "source", "source name", "media"}},
        {Meaning::track, {"track", "tracks", "channel", "spur", "piste"}},
        {Meaning::keep,
         {"keep", "keep?", "use", "use?", "used", "action", "decision", "enabled", "active", "include", "include?",
          "included", "selected", "approved", "ok", "ok?", "behalten", "garder"}},
        {Meaning::remove,
         {"remove", "remove?", "removed", "delete", "cut", "cut?", "drop", "disabled", "muted", "excluded",
          "entfernen"}},
        {Meaning::speed,
         {"speed", "speed %", "rate", "playback speed", "geschwindigkeit", "vitesse", "velocidad", "velocit\u00E0"}},
        {Meaning::order, {"order", "no", "no.", "nr", "nr.", "#", "reihenfolge", "ordre", "orden"}},
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
    std::string text = caseless(field);
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
        if (!meaning) {
            columns.unknown.push_back(i);
            continue;
        }
        if (is_time(*meaning) && !is_time_unit(named.unit))
            return wrong_line(
                heading.line,
                fmt::format("column {}: \"{}\" counts in {}; write seconds or h:mm:ss, and the heading \"{}\"", i + 1,
                            heading.fields[i], named.unit, named.word));
        if (auto* const list = *meaning == Meaning::keep     ? &columns.keep
                               : *meaning == Meaning::remove ? &columns.remove
                               : *meaning == Meaning::speed  ? &columns.speed
                               : *meaning == Meaning::track  ? &columns.track
                               : *meaning == Meaning::order  ? &columns.order
                                                             : nullptr) {
            list->push_back(i);
            continue;
        }
        auto& place = *meaning == Meaning::from     ? columns.from
                      : *meaning == Meaning::to     ? columns.to
                      : *meaning == Meaning::at     ? columns.at
                      : *meaning == Meaning::at_end ? columns.at_end
                      : *meaning == Meaning::length ? columns.length
                      : *meaning == Meaning::reel   ? columns.reel
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
