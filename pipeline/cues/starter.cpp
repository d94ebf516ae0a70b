#include "pipeline/cues/starter.h"

#include "overlay/base/letters.h"
#include "overlay/base/utf8.h"
#include "pipeline/cues/json_text.h"
#include "pipeline/cues/reader.h"
#include "pipeline/cues/writer.h"
#include "pipeline/time/timecode.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {

namespace {

constexpr char const* kHowTo =
    "Write the capo, the key that sounds and the tempo; then each part. A part that is played gets its chords bar by "
    "bar, e.g. \"bars\": \"C | G/B | Am7 / F / | %\"; a part that explains gets single cues, e.g. \"show\": "
    "[{\"chord\": \"C\", \"from\": \"0:14.2\"}]. Times may be rough, and a part with bars may leave out its time and "
    "its tempo: tabard listen finds them in the sound. Then: tabard check, tabard render.";
constexpr char const* kHowToWithChords =
    "The chords stand at the times that were given, as they sound, for a guitar without a capo. For another capo: "
    "tabard "
    "transpose. Divide the section into the parts of the lesson where you want titles. Then: tabard check, tabard "
    "render.";
constexpr overlay::Meter kMeter{4, 4}; ///< of the lesson
constexpr char const* kPlayedNote = "Sounds played: add \"bars\" with its chords.";

JsonValue section_object(StarterSection const& section)
{
    JsonValue object = JsonValue::object({});
    object.set("name", JsonValue::string(section.name));
    object.set("from", JsonValue::string(print_time(section.from, 1)));
    if (section.meter && *section.meter != kMeter)
        object.set("meter", JsonValue::string(section.meter->text()));
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
    // The nominal rate of a film of one picture may be any; one that no cue file may have is left out.
    if (parse_frame_rate(print_frame_rate(starter.rate)))
        object.set("rate", JsonValue::string(print_frame_rate(starter.rate)));
    if (!starter.fingerprint.empty())
        object.set("fingerprint", JsonValue::string(starter.fingerprint));
    return object;
}

/// The proposed sections, or one that covers the film; none begins before the first picture.
JsonValue section_list(Starter const& starter)
{
    std::vector<StarterSection> sections = starter.sections;
    if (sections.empty())
        sections.push_back({"Lesson", Time{0}, starter.duration, std::nullopt, false});
    std::vector<JsonValue> list;
    for (StarterSection& section : sections) {
        section.from = std::max(section.from, starter.first_picture);
        if (section.from < section.to)
            list.push_back(section_object(section));
    }
    return JsonValue::array(std::move(list));
}

/// A cue lasts to the next one where nothing else is written.
JsonValue show_list(std::vector<AnnotatedChord> const& chords)
{
    std::vector<JsonValue> list;
    for (std::size_t i = 0; i < chords.size(); ++i) {
        JsonValue cue = JsonValue::object({});
        cue.set("chord", JsonValue::string(chords[i].chord));
        cue.set("from", JsonValue::string(print_time_exact(chords[i].from)));
        if (i + 1 == chords.size() || chords[i + 1].from != chords[i].to)
            cue.set("to", JsonValue::string(print_time_exact(chords[i].to)));
        list.push_back(std::move(cue));
    }
    return JsonValue::array(std::move(list));
}

/// One section that covers the film.
JsonValue section_with_chords(Starter const& starter)
{
    JsonValue object = section_object({"Lesson", starter.first_picture, starter.duration, std::nullopt});
    object.set("from", JsonValue::string(print_time_exact(starter.first_picture)));
    object.set("show", show_list(starter.chords));
    return JsonValue::array({std::move(object)});
}

/// Whether a name comes back from a cue file as it is.
bool can_stand_in_cue_file(std::string const& name)
{
    return name.size() <= kLongestName && read_json(document_text(JsonValue::string(name))).value;
}

} // namespace

std::string starter_title(std::string_view text)
{
    std::string const line = tabard::on_one_line(first_letters(text, kLongestName));
    std::size_t const begin = std::min(line.find_first_not_of(' '), line.size());
    std::string_view const words = std::string_view(line).substr(begin);
    return shortened(words.substr(0, words.find_last_not_of(' ') + 1), kLongestTitle, kLongestTitle);
}

Result<JsonValue> starter_document(Starter const& starter)
{
    if (!can_stand_in_cue_file(starter.footage))
        return Error{ErrorKind::invalid_input,
                     fmt::format("a cue file cannot hold the name {}: rename the film or its folder, without control "
                                 "characters, in UTF-8 and in less than {} bytes",
                                 tabard::on_one_line(starter.footage), kLongestName)};
    JsonValue document = JsonValue::object({});
    document.set("tabard", JsonValue::number(1));
    document.set("note", JsonValue::string(starter.chords.empty() ? kHowTo : kHowToWithChords));
    document.set("title", JsonValue::string(starter.title.empty() ? "Lesson" : starter.title));
    document.set("footage", JsonValue::string(starter.footage));
    document.set("made_for", made_for_object(starter));
    document.set("instrument", JsonValue::string("guitar"));
    document.set("capo", JsonValue::number(0));
    document.set("meter", JsonValue::string(kMeter.text()));
    document.set("shapes", JsonValue::object({}));
    document.set("strums", JsonValue::object({}));
    document.set("sections", starter.chords.empty() ? section_list(starter) : section_with_chords(starter));
    auto const reading = parse_lesson(document_text(document), {});
    auto const wrong = std::ranges::find(reading.findings, Severity::error, &Finding::severity);
    if (wrong != reading.findings.end())
        return Error{ErrorKind::unsupported,
                     fmt::format("no cue file can be made for {}: {}", starter.footage, wrong->what)};
    return document;
}

} // namespace tabard::pipeline
