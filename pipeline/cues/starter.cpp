#include "pipeline/cues/starter.h"

#include "pipeline/time/timecode.h"

namespace tabard::pipeline {

namespace {

constexpr char const* kHowTo =
    "Fill in: capo, key (the one that sounds) and tempo; then the parts with their times. A part that is played gets "
    "its "
    "chords bar by bar, e.g. \"bars\": \"C | G/B | Am7 / F / | %\"; a part that explains gets single cues, e.g. "
    "\"show\": "
    "[{\"chord\": \"C\", \"from\": \"0:14.2\"}]. Then: tabard check, tabard listen, tabard render.";
constexpr char const* kPlayedNote = "Sounds played: add \"bars\" with its chords.";

JsonValue section_object(StarterSection const& section)
{
    JsonValue object = JsonValue::object({});
    object.set("name", JsonValue::string(section.name));
    object.set("from", JsonValue::string(print_time(section.from, 1)));
    object.set("to", JsonValue::string(print_time_exact(section.to)));
    if (section.tempo)
        object.set("tempo", JsonValue::number((section.tempo->thousandths + 500) / 1000));
    if (section.played)
        object.set("note", JsonValue::string(kPlayedNote));
    return object;
}

JsonValue made_for_object(Starter const& starter)
{
    JsonValue object = JsonValue::object({});
    object.set("duration", JsonValue::string(print_time_exact(starter.duration)));
    object.set("rate", JsonValue::string(print_frame_rate(starter.rate)));
    if (!starter.fingerprint.empty())
        object.set("fingerprint", JsonValue::string(starter.fingerprint));
    return object;
}

} // namespace

JsonValue starter_document(Starter const& starter)
{
    std::vector<JsonValue> sections;
    for (StarterSection const& section : starter.sections)
        sections.push_back(section_object(section));
    if (sections.empty())
        sections.push_back(section_object({"Lesson", Time{0}, starter.duration, std::nullopt, false}));

    JsonValue document = JsonValue::object({});
    document.set("tabard", JsonValue::number(1));
    document.set("note", JsonValue::string(kHowTo));
    document.set("title", JsonValue::string(starter.title));
    document.set("footage", JsonValue::string(starter.footage));
    document.set("made_for", made_for_object(starter));
    document.set("instrument", JsonValue::string("guitar"));
    document.set("capo", JsonValue::number(0));
    document.set("meter", JsonValue::string("4/4"));
    document.set("shapes", JsonValue::object({}));
    document.set("strums", JsonValue::object({}));
    document.set("sections", JsonValue::array(std::move(sections)));
    return document;
}

} // namespace tabard::pipeline
