#include "pipeline/listen/listen_report.h"

#include "overlay/base/utf8.h"
#include "pipeline/cues/writer.h"
#include "pipeline/listen/doubt.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace tabard::pipeline {

namespace {

std::string cue_text(HeardChordCue const& cue)
{
    auto const name = cue.written.empty() ? std::string("N.C.") : cue.written;
    std::string text;
    if (!cue.sounds_like.empty())
        text += fmt::format("    {} {} at {} sounds like {}\n", cue.position.text(), name, print_time(cue.time, 1),
                            cue.sounds_like);
    if (cue.other_time)
        text += fmt::format("    {} {} at {} may also begin at {}\n", cue.position.text(), name,
                            print_time(cue.time, 2), print_time(*cue.other_time, 2));
    return text;
}

char const* kept_time(HeardSection const& section)
{
    return section.has_time ? "its rough time is left as it is" : "it has no time yet";
}

bool is_doubtful(HeardSection const& section)
{
    return !section.doubt.empty() && section.playable && section.confidence >= kTrusted;
}

std::string why_not(HeardSection const& section)
{
    if (!section.playable)
        return "but no player keeps the tempo that this means";
    return section.confidence < kTrusted ? "too little to trust"
                                         : fmt::format("but this is doubtful: {}", section.doubt);
}

std::string section_text(HeardSection const& section)
{
    auto const name = on_one_line(section.name);
    if (!section.found)
        return fmt::format("{}: not found; {}\n", name, kept_time(section));
    auto text = fmt::format("{}: {} to {}, tempo {:.1f}, {:.0f} % sounds as written", name,
                            print_time(section.played.from, 2), print_time(section.played.to, 2),
                            static_cast<double>(section.tempo.thousandths) / 1000, 100 * section.confidence);
    if (!section.trusted())
        return fmt::format("{}; {}, so {}\n", text, why_not(section), kept_time(section));
    auto const early = std::ranges::count_if(section.changes, &HeardChordCue::early);
    auto const unclear = std::ranges::count_if(section.changes, &HeardChordCue::cannot_tell);
    text += fmt::format(", {} changes in {} pins\n", section.changes.size(), section.pins.size());
    if (early > 0)
        text += fmt::format("    {} half a beat early\n",
                            early == 1 ? "1 change comes" : fmt::format("{} changes come", early));
    if (unclear > 0)
        text += fmt::format("    {}: the sound cannot tell from a plainer chord\n",
                            unclear == 1 ? "1 chord" : fmt::format("{} chords", unclear));
    for (HeardChordCue const& cue : section.changes)
        text += cue_text(cue);
    return text;
}

JsonValue number(double value, int decimals)
{
    JsonValue result = JsonValue::number(0);
    result.text = fmt::format("{:.{}f}", value, decimals);
    return result;
}

JsonValue boolean(bool value)
{
    JsonValue result;
    result.kind = JsonValue::Kind::boolean;
    result.boolean = value;
    return result;
}

JsonValue seconds(Time time) { return number(to_seconds(time), 3); }

JsonValue interval_value(Interval interval)
{
    JsonValue value = JsonValue::object({});
    value.set("from", seconds(interval.from));
    value.set("to", seconds(interval.to));
    return value;
}

JsonValue cue_value(HeardChordCue const& cue)
{
    JsonValue value = JsonValue::object({});
    value.set("position", JsonValue::string(cue.position.text()));
    value.set("chord", JsonValue::string(cue.written));
    value.set("time", seconds(cue.time));
    value.set("early", boolean(cue.early));
    value.set("cannot_tell", boolean(cue.cannot_tell));
    if (cue.other_time)
        value.set("other_time", seconds(*cue.other_time));
    if (!cue.sounds_like.empty())
        value.set("sounds_like", JsonValue::string(cue.sounds_like));
    return value;
}

/// As a cue file has them.
JsonValue exact_pins(std::vector<Pin> const& pins)
{
    std::vector<JsonValue> items;
    for (Pin const& pin : pins)
        items.push_back(
            JsonValue::array({JsonValue::string(pin.position.text()), JsonValue::string(print_time_exact(pin.time))}));
    return JsonValue::array(std::move(items));
}

JsonValue section_value(HeardSection const& section)
{
    JsonValue value = JsonValue::object({});
    value.set("section", JsonValue::number(section.section));
    value.set("name", JsonValue::string(section.name));
    value.set("words", JsonValue::string(section_text(section)));
    value.set("found", boolean(section.found));
    value.set("trusted", boolean(section.trusted()));
    value.set("confidence", number(section.confidence, 2));
    if (!section.doubt.empty())
        value.set("doubt", JsonValue::string(section.doubt));
    if (!section.found)
        return value;
    value.set("doubtful", boolean(is_doubtful(section)));
    value.set("from", seconds(section.played.from));
    value.set("to", seconds(section.played.to));
    value.set("tempo", number(static_cast<double>(section.tempo.thousandths) / 1000, 1));
    value.set("pins", JsonValue::number(static_cast<std::int64_t>(section.pins.size())));
    value.set("exact_pins", exact_pins(section.pins));
    std::vector<JsonValue> changes;
    for (HeardChordCue const& cue : section.changes)
        changes.push_back(cue_value(cue));
    value.set("changes", JsonValue::array(std::move(changes)));
    return value;
}

/// What is said of the lesson as a whole, a line each.
std::string lesson_text(LessonHeard const& heard)
{
    std::string text;
    if (heard.frets_off != 0)
        text +=
            fmt::format("Everything sounds {} {} {} than charted: is the capo right?\n", std::abs(heard.frets_off),
                        std::abs(heard.frets_off) == 1 ? "fret" : "frets", heard.frets_off > 0 ? "higher" : "lower");
    if (std::abs(heard.tuning_cents) >= 5)
        text += fmt::format("The guitar is tuned {:.0f} cents {} than A = 440 Hz\n", std::abs(heard.tuning_cents),
                            heard.tuning_cents > 0 ? "higher" : "lower");
    for (StrayPlaying const& playing : heard.unexpected)
        text += fmt::format("A guitar plays from {} to {}, {}\n", print_time(playing.heard.from, 1),
                            print_time(playing.heard.to, 1),
                            playing.section ? fmt::format("and '{}' has no chords", on_one_line(playing.part))
                                            : "where no part has chords");
    for (std::string const& remark : heard.remarks)
        text += remark + "\n";
    return text;
}

} // namespace

std::string listen_text(LessonHeard const& heard)
{
    std::string text;
    for (HeardSection const& section : heard.sections)
        text += section_text(section);
    if (std::ranges::any_of(heard.sections, is_doubtful))
        text +=
            "Help with what is doubtful: write when the part begins and its tempo, or the bars of the parts beside it; "
            "or take it as it is with --doubtful\n";
    return text + lesson_text(heard);
}

std::string listen_json(LessonHeard const& heard)
{
    std::vector<JsonValue> sections;
    for (HeardSection const& section : heard.sections)
        sections.push_back(section_value(section));
    std::vector<JsonValue> unexpected;
    for (StrayPlaying const& playing : heard.unexpected)
        unexpected.push_back(interval_value(playing.heard));
    std::vector<JsonValue> remarks;
    for (std::string const& remark : heard.remarks)
        remarks.push_back(JsonValue::string(remark));
    JsonValue document = JsonValue::object({});
    document.set("version", JsonValue::number(1));
    document.set("tuning_cents", number(heard.tuning_cents, 1));
    document.set("frets_off", JsonValue::number(heard.frets_off));
    document.set("sections", JsonValue::array(std::move(sections)));
    document.set("unexpected", JsonValue::array(std::move(unexpected)));
    document.set("remarks", JsonValue::array(std::move(remarks)));
    document.set("words", JsonValue::string(lesson_text(heard)));
    return document_text(document);
}

} // namespace tabard::pipeline
