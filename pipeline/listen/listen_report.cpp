#include "pipeline/listen/listen_report.h"

#include "overlay/base/utf8.h"
#include "pipeline/cues/pin_text.h"
#include "pipeline/cues/writer.h"
#include "pipeline/listen/deviation_text.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace tabard::pipeline {

namespace {

std::string counted(std::size_t count, char const* what)
{
    return fmt::format("{} {}{}", count, what, count == 1 ? "" : "s");
}

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

std::string changes_text(HeardSection const& section)
{
    auto const early = std::ranges::count_if(section.changes, &HeardChordCue::early);
    auto const unclear = std::ranges::count_if(section.changes, &HeardChordCue::cannot_tell);
    std::string text;
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

std::string help_text(HeardSection const& section)
{
    if (section.help.empty() || section.trusted())
        return "";
    return fmt::format("    next: {}{}\n", section.help,
                       section.verdict == Verdict::doubtful ? "; or take it as it is with --doubtful" : "");
}

std::string section_text(HeardSection const& section)
{
    auto const name = on_one_line(section.name);
    if (section.verdict == Verdict::not_found)
        return fmt::format("{}: not found: {}; {}\n", name, section.reason, kept_time(section));
    auto text = fmt::format("{}: {} to {}, tempo {:.1f}, ", name, print_time(section.played.from, 2),
                            print_time(section.played.to, 2), static_cast<double>(section.tempo.thousandths) / 1000);
    if (section.verdict == Verdict::sure)
        text += fmt::format("sure: {:.0f} % sounds as written", 100 * section.fits);
    else
        text += fmt::format("doubtful: {}", section.reason);
    text += section.trusted() ? fmt::format(", {} in {}\n", counted(section.changes.size(), "change"),
                                            counted(section.pins.size(), "pin"))
                              : fmt::format("; {}\n", kept_time(section));
    for (HeardDeviation const& deviation : section.deviations)
        text += fmt::format("    {}\n", deviation_text(deviation));
    for (Interval const& other : section.also)
        text += fmt::format("    it is played from {} to {} too: to take that time, write \"from\": \"{}\"\n",
                            print_time(other.from, 1), print_time(other.to, 1), print_time(other.from, 1));
    return section.trusted() ? text + changes_text(section) : text;
}

/// "5 parts: 3 sure, 1 doubtful, 1 not found".
std::string counts_text(LessonHeard const& heard)
{
    auto const count = [&](Verdict verdict) {
        return std::ranges::count(heard.sections, verdict, &HeardSection::verdict);
    };
    return fmt::format("{}: {} sure, {} doubtful, {} not found\n", counted(heard.sections.size(), "part"),
                       count(Verdict::sure), count(Verdict::doubtful), count(Verdict::not_found));
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

JsonValue deviation_value(HeardDeviation const& deviation)
{
    JsonValue value = JsonValue::object({});
    value.set("kind", JsonValue::string(std::string(deviation_word(deviation.kind))));
    value.set("position", JsonValue::string(deviation.position.text()));
    value.set("goes_on_with", JsonValue::string(deviation.next.text()));
    value.set("from", seconds(deviation.span.from));
    value.set("to", seconds(deviation.span.to));
    value.set("sure", boolean(deviation.sure));
    value.set("words", JsonValue::string(deviation_text(deviation)));
    return value;
}

/// As a cue file has them.
JsonValue exact_pins(std::vector<Pin> const& pins)
{
    std::vector<JsonValue> items;
    for (Pin const& pin : pins)
        items.push_back(pin_value(pin));
    return JsonValue::array(std::move(items));
}

JsonValue section_value(HeardSection const& section)
{
    JsonValue value = JsonValue::object({});
    value.set("section", JsonValue::number(section.section));
    value.set("name", JsonValue::string(section.name));
    value.set("words", JsonValue::string(section_text(section)));
    value.set("result", JsonValue::string(std::string(verdict_word(section.verdict))));
    value.set("confidence", number(section.confidence, 2));
    value.set("found", boolean(section.verdict != Verdict::not_found));
    value.set("trusted", boolean(section.trusted()));
    if (!section.reason.empty())
        value.set("reason", JsonValue::string(section.reason));
    if (!section.help.empty())
        value.set("help", JsonValue::string(section.help));
    if (section.verdict == Verdict::not_found)
        return value;
    value.set("fits", number(section.fits, 2));
    value.set("from", seconds(section.played.from));
    value.set("to", seconds(section.played.to));
    value.set("tempo", number(static_cast<double>(section.tempo.thousandths) / 1000, 1));
    value.set("pins", JsonValue::number(static_cast<std::int64_t>(section.pins.size())));
    value.set("exact_pins", exact_pins(section.pins));
    std::vector<JsonValue> changes;
    for (HeardChordCue const& cue : section.changes)
        changes.push_back(cue_value(cue));
    value.set("changes", JsonValue::array(std::move(changes)));
    std::vector<JsonValue> deviations;
    for (HeardDeviation const& deviation : section.deviations)
        deviations.push_back(deviation_value(deviation));
    value.set("deviations", JsonValue::array(std::move(deviations)));
    std::vector<JsonValue> also;
    for (Interval const& other : section.also)
        also.push_back(interval_value(other));
    value.set("also_played", JsonValue::array(std::move(also)));
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
        text += section_text(section) + help_text(section);
    return text + lesson_text(heard) + (heard.sections.empty() ? "" : counts_text(heard));
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
