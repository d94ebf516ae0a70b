#include "pipeline/cues/reader.h"

#include "overlay/base/characters.h"
#include "overlay/base/json_mistake.h"
#include "overlay/music/instrument.h"
#include "overlay/music/names/key.h"
#include "overlay/music/note.h"
#include "pipeline/cues/json_text.h"
#include "pipeline/cues/language_advice.h"
#include "pipeline/cues/minutes_as_decimals.h"
#include "pipeline/cues/object_reader.h"
#include "pipeline/files/file_text.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::pipeline {
namespace {

constexpr int kFormatVersion = 1;
constexpr int kHighestCapo = 24;

void read_version(ReadContext& context, ObjectReader& reader)
{
    JsonValue const* version = reader.take("tabard", JsonValue::Kind::number);
    if (!reader.has("tabard"))
        reader.missing("tabard", "begin the file with \"tabard\": 1");
    else if (version && version->text != fmt::format("{}", kFormatVersion))
        context.error("bad-value", version->at, fmt::format("the cue file has the form {}", version->text),
                      fmt::format("this program reads form {}", kFormatVersion));
}

void read_footage(ReadContext& context, ObjectReader& reader, Lesson& lesson)
{
    constexpr char const* kMend = "name the film: \"footage\": \"lesson.mp4\"";
    if (auto const footage = reader.string("footage")) {
        lesson.footage.at = footage->at;
        if (footage->value.empty()) {
            context.error("bad-value", footage->at, "the footage has no name", kMend);
            return;
        }
        // C:\new\take.mp4 is JSON, though not the name of that film.
        if (footage->value.find_first_of("\n\t\r") != std::string::npos)
            return context.error("bad-value", footage->at, "the footage's name holds a line end or a tab",
                                 std::string(kBackslashAdvice));
        std::filesystem::path const path = lesson.file.parent_path() / std::filesystem::path(**footage);
        lesson.footage = {path.lexically_normal(), footage->at};
        context.set_footage(*lesson.footage);
    } else if (!reader.has("footage")) {
        reader.missing("footage", kMend);
    }
}

void read_made_for(ReadContext& context, JsonValue const& value, Lesson& lesson)
{
    ObjectReader reader(context, value, "\"made_for\"");
    FootageFacts facts;
    facts.at = value.at;
    if (auto const written = reader.string("rate")) {
        if (auto const rate = parse_frame_rate(**written)) {
            facts.rate = Sourced<FrameRate>{*rate, written->at};
            context.set_rate(*rate);
        } else {
            context.error("bad-value", written->at, rate.error().what, "copy it from `tabard start`");
        }
    }
    facts.duration = reader.time("duration");
    facts.fingerprint = reader.string("fingerprint");
    reader.finish();
    lesson.footage_facts = std::move(facts);
}

/// "EADGBe" with the octaves that the instrument's own strings have.
std::string advice_of_tuning(std::string letters, overlay::Tuning const& usual)
{
    constexpr char const* kAdvice = "write note names with octaves, low string first";
    if (letters.ends_with('e'))
        letters.back() = 'E';
    std::vector<std::string> strings;
    std::string_view rest = letters;
    while (!rest.empty()) {
        auto const note = overlay::take_note(rest);
        if (!note || strings.size() == usual.open_strings.size())
            return kAdvice;
        int const near = usual.open_strings[strings.size()];
        int const up = overlay::mod(note->pitch_class() - near, 12);
        strings.push_back(overlay::pitch_text(near + (up > 6 ? up - 12 : up), note->alter < 0
                                                                                  ? overlay::Accidentals::flats
                                                                                  : overlay::Accidentals::sharps));
        rest.remove_prefix(std::min(rest.find_first_not_of(" ,-"), rest.size()));
    }
    return strings.size() == usual.open_strings.size() ? fmt::format("write \"{}\"", fmt::join(strings, " ")) : kAdvice;
}

void read_instrument(ReadContext& context, ObjectReader& reader, Lesson& lesson)
{
    auto instrument = overlay::Instrument{};
    if (auto name = reader.string("instrument")) {
        if (auto known = overlay::Instrument::named(**name))
            instrument = *std::move(known);
        else
            context.error("bad-value", name->at, known.error().what, "other strings go into \"tuning\"");
        lesson.instrument = *std::move(name);
    }
    lesson.tuning = {instrument.tuning, lesson.instrument.at};
    if (auto const written = reader.string("tuning")) {
        if (auto tuning = overlay::Tuning::parse(**written))
            lesson.tuning = {*std::move(tuning), written->at};
        else
            context.error("bad-value", written->at, tuning.error().what,
                          advice_of_tuning(**written, instrument.tuning));
    }
    if (auto const capo = reader.integer("capo", 0, kHighestCapo))
        lesson.capo = *capo;
    if (auto const handed = reader.boolean("left_handed"))
        lesson.left_handed = *handed;
}

std::string advice_of_key(std::string_view key, overlay::NoteNames names)
{
    auto const language = language_advice(key, names);
    return language.empty() ? "write the key that sounds, as in \"E\" or \"F#m\"" : language;
}

void read_song(ReadContext& context, ObjectReader& reader, Lesson& lesson)
{
    if (auto const word = reader.string("names")) {
        if (auto const names = overlay::note_names_called(**word))
            lesson.names = {*names, word->at};
        else
            context.error("bad-value", word->at, names.error().what, "write \"german\", \"latin\" or \"english\"");
    }
    if (auto key = reader.string("key")) {
        if (auto const understood = overlay::Key::parse(**key, *lesson.names))
            lesson.key = *std::move(key);
        else
            context.error("bad-value", key->at, understood.error().what, advice_of_key(**key, *lesson.names));
    }
    // Which chords the key has is not known where the capo is not.
    if (reader.has("capo") && lesson.capo.at == SourcePosition{})
        lesson.key = {};
    lesson.meter = reader.meter("meter").value_or(Sourced<overlay::Meter>{{}, reader.at()});
    lesson.tempo = reader.tempo("tempo");
    if (JsonValue const* shapes = reader.take("shapes"))
        read_shapes(context, *shapes, lesson);
    if (JsonValue const* strums = reader.take("strums"))
        read_strums(context, *strums, lesson);
    if (auto strum = read_strum_name(context, reader, lesson))
        context.set_default_strum(*std::move(strum));
    else if (!reader.has("strum") && lesson.strums.size() == 1)
        context.set_default_strum({lesson.strums[0].name, lesson.strums[0].at});
}

void read_look(ObjectReader& reader, Lesson& lesson)
{
    lesson.placement = reader.placement("placement").value_or(Sourced<Placement>{Placement::automatic, reader.at()});
    lesson.theme = reader.string("theme").value_or(Sourced<std::string>{"", reader.at()});
    lesson.link = reader.string("link").value_or(Sourced<std::string>{"", reader.at()});
}

void read_accept(ReadContext& context, JsonValue const& list, Lesson& lesson)
{
    for (JsonValue const& value : list.items) {
        ObjectReader reader(context, value, "an acceptance");
        auto const code = reader.string("code");
        auto const reason = reader.string("reason");
        auto const section = reader.string("section");
        if (!reader.has("code"))
            reader.missing("code", "name the finding by the word in its brackets");
        if (!reader.has("reason") || (reason && reason->value.empty()))
            reader.missing("reason", "say why it is meant so");
        reader.finish();
        if (code && reason)
            lesson.accept.push_back({**code, **reason, section ? **section : "", value.at});
    }
}

Lesson read_root(ReadContext& context, JsonValue const& root, std::filesystem::path const& path)
{
    Lesson lesson;
    lesson.file = path;
    ObjectReader reader(context, root, "a cue file");
    reader.take("$schema"); // for editors that complete by it
    read_version(context, reader);
    lesson.title = reader.string("title").value_or(Sourced<std::string>{"", root.at});
    if (!reader.has("title"))
        reader.missing("title", "name the lesson");
    read_footage(context, reader, lesson);
    if (JsonValue const* made_for = reader.take("made_for"))
        read_made_for(context, *made_for, lesson);
    read_instrument(context, reader, lesson);
    read_song(context, reader, lesson);
    read_look(reader, lesson);
    if (JsonValue const* accept = reader.take("accept", JsonValue::Kind::array))
        read_accept(context, *accept, lesson);
    if (JsonValue const* sections = reader.take("sections", JsonValue::Kind::array)) {
        if (sections->items.empty())
            context.error("bad-value", sections->at, "the lesson has no part",
                          "add its parts: {\"name\": \"Verse\", \"bars\": \"C | G | Am | F\"}");
        read_sections(context, *sections, lesson, reader.has("tempo"));
    }
    context.add_all(minutes_as_decimals(root, lesson));
    if (!reader.has("sections"))
        reader.missing("sections", "add the parts of the lesson, each with \"name\" and \"from\"");
    reader.finish();
    return lesson;
}

} // namespace

bool LessonReading::usable() const
{
    return lesson && std::ranges::none_of(findings, [](Finding const& f) { return f.severity == Severity::error; });
}

LessonReading parse_lesson(std::string_view text, std::filesystem::path const& path, LessonReadOptions const& options)
{
    JsonReading json = read_json(text);
    if (!json.value)
        return {std::nullopt, std::move(json.findings)};
    return lesson_of_document(*json.value, text, path, options);
}

LessonReading lesson_of_document(JsonValue const& document, std::string_view text, std::filesystem::path const& path,
                                 LessonReadOptions const& options)
{
    ReadContext context(without_byte_order_mark(text), options);
    LessonReading reading;
    Lesson lesson = read_root(context, document, path);
    if (document.kind == JsonValue::Kind::object)
        reading.lesson = std::move(lesson);
    reading.findings = context.take_findings();
    return reading;
}

Result<LessonReading> read_lesson(std::filesystem::path const& path, LessonReadOptions const& options)
{
    TRY_ASSIGN(std::string const text, read_file_text(path, kMostCueFileBytes));
    return parse_lesson(text, path, options);
}

} // namespace tabard::pipeline
