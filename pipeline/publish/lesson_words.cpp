#include "pipeline/publish/lesson_words.h"

#include "overlay/music/capo/capo.h"
#include "overlay/music/names/chord_name.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

void add_once(std::vector<std::string>& names, std::string const& name)
{
    if (!name.empty() && std::ranges::find(names, name) == names.end())
        names.push_back(name);
}

} // namespace

std::string pretty_name(Lesson const& lesson, std::string_view name)
{
    auto const label = lesson.label(name);
    return label.base + label.raised + (label.bass.empty() ? "" : "/" + label.bass);
}

std::optional<overlay::Key> sounding_key_of(Lesson const& lesson) { return lesson.sounding_key(); }

std::optional<overlay::Key> shapes_key_of(Lesson const& lesson)
{
    auto const sounding = sounding_key_of(lesson);
    return sounding ? std::optional{overlay::shapes_key(*sounding, *lesson.capo)} : std::nullopt;
}

std::string tempo_words(Tempo tempo) { return fmt::format("{} beats a minute", (tempo.thousandths + 500) / 1000); }

std::string tuning_words(overlay::Tuning const& tuning)
{
    std::string words;
    for (int const open : tuning.open_strings) {
        std::string note = overlay::pitch_text(open);
        if (auto const sharp = note.find('#'); sharp != std::string::npos)
            note.replace(sharp, 1, "\u266F");
        words += (words.empty() ? "" : " ") + note;
    }
    return words;
}

std::vector<std::string> chord_names(Lesson const& lesson)
{
    std::vector<std::string> names;
    for (auto const& section : lesson.sections) {
        for (auto const& cue : section.show)
            add_once(names, cue.chord);
        if (section.bars)
            for (auto const& bar : section.bars->value.written)
                for (auto const& chord : bar.chords)
                    add_once(names, chord.name);
    }
    return names;
}

std::string level_word(Level level)
{
    switch (level) {
    case Level::full:
        return "full";
    case Level::easy:
        return "easy";
    }
    return "";
}

} // namespace tabard::pipeline
