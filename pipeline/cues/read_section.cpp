#include "pipeline/cues/chart_text.h"
#include "pipeline/cues/likely_steps.h"
#include "pipeline/cues/next_command.h"
#include "pipeline/cues/object_reader.h"
#include "pipeline/cues/same_again.h"

#include <algorithm>
#include <iterator>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// One string, or a list of strings that follow each other.
std::optional<ChartText> chart_text(ReadContext& context, JsonValue const& value)
{
    std::vector<JsonValue> const single{value};
    ChartText chart;
    SourcePosition end = value.at;
    for (JsonValue const& line : value.kind == JsonValue::Kind::array ? value.items : single) {
        if (line.kind != JsonValue::Kind::string) {
            context.error("wrong-type", line.at,
                          fmt::format("\"bars\" is a text or a list of texts, and this is {}", kind_name(line.kind)),
                          "write the chords in double quotes");
            return std::nullopt;
        }
        auto places = context.places_of(line);
        end = places.back();
        chart.append_line(line.text, std::move(places));
    }
    chart.places.push_back(end);
    return chart;
}

/// Bars of another section that are wrong in the meter of this one: nothing is wrong where they are written.
void refuse_reused_bars(ReadContext& context, JsonValue const& as, overlay::Meter meter, Finding const& first)
{
    context.error(
        first.code, as.at,
        fmt::format("the bars of '{}' do not fit the meter {} of this part: {}", as.text, meter.text(), first.what),
        "write \"bars\" for this part, or take its \"meter\" out");
}

/// `as`: whose bars these are, in another meter; null for bars of the section itself.
std::optional<Sourced<Chart>> read_bars(ReadContext& context, JsonValue const& value, Lesson const& lesson,
                                        overlay::Meter meter, JsonValue const* as)
{
    auto const text = chart_text(context, value);
    if (!text)
        return std::nullopt;
    ChartReading reading = parse_chart(
        text->text, meter, text->places, [&](std::string_view name) { return lesson.find_shape(name) != nullptr; },
        *lesson.names);
    if (as && !reading.findings.empty())
        refuse_reused_bars(context, *as, meter, reading.findings.front());
    else
        context.add_all(std::move(reading.findings));
    bool const fits = context.count_cues(reading.chart.played.size(), value.at);
    if (!fits || reading.chart.written.empty())
        return std::nullopt;
    return Sourced<Chart>{std::move(reading.chart), value.at};
}

void read_seams(ReadContext& context, JsonValue const& list, Section& section)
{
    for (JsonValue const& value : list.items) {
        if (!context.count_cues(1, value.at))
            return;
        if (auto const time = context.time(value))
            section.seams.push_back(**time);
    }
    std::ranges::sort(section.seams);
}

bool known_strum(ReadContext& context, Lesson const& lesson, Sourced<std::string> const& name)
{
    if (lesson.find_strum(*name))
        return true;
    if (context.is_broken_strum(*name))
        return false;
    std::vector<std::string_view> names;
    for (auto const& strum : lesson.strums)
        names.push_back(strum.name);
    auto const steps = likely_steps(*name, *lesson.meter);
    context.error("unknown-strum", name.at, fmt::format("\"strums\" has no '{}'", *name),
                  steps && steps->size() > 1
                      ? fmt::format("give the strokes a name: write \"strums\": {{\"mine\": \"{}\"}} at the top, and "
                                    "\"strum\": \"mine\" here",
                                    *steps)
                      : context.suggestion(*name, names, "add it to \"strums\""));
    return false;
}

/// The cues of one object of "show": one for each thing that it shows.
void read_show(ReadContext& context, JsonValue const& value, Lesson const& lesson, Section& section)
{
    ObjectReader reader(context, value, "a cue");
    auto const chord = reader.string("chord");
    auto const text = reader.string("text");
    auto strum = reader.string("strum");
    auto const level = reader.level("level");
    auto const from = reader.time("from");
    auto const to = reader.time("to");
    if (!reader.has("chord") && !reader.has("text") && !reader.has("strum"))
        reader.missing("chord", "say what to show: a \"chord\", a \"text\" or a \"strum\"");
    if (!reader.has("from"))
        reader.missing("from", "say when it appears");
    if (from && to && **to <= **from)
        context.error("no-length", to->at, "this cue ends before it begins", "let \"to\" come after \"from\"");
    reader.finish();
    if (strum && !known_strum(context, lesson, *strum))
        strum.reset();
    if (!from)
        return;
    ShowCue cue;
    cue.from = *from;
    cue.to = to && **to > **from ? to : std::nullopt;
    for (auto const& [name, member] :
         {std::pair{&chord, &ShowCue::chord}, {&text, &ShowCue::text}, {&strum, &ShowCue::strum}}) {
        if (!*name)
            continue;
        if ((*name)->value.find_first_not_of(" \t\r\n") == std::string::npos) {
            context.warning("empty-text", (*name)->at, "this cue shows nothing: its text is empty",
                            "write what it shows, or take it out");
            continue;
        }
        ShowCue single = cue;
        single.*member = (*name)->value;
        single.at = (*name)->at;
        single.level = member == &ShowCue::chord ? level : std::nullopt;
        section.show.push_back(std::move(single));
    }
}

void read_cues(ReadContext& context, JsonValue const& show, Lesson const& lesson, Section& section)
{
    if (show.kind != JsonValue::Kind::array)
        context.error("wrong-type", show.at,
                      fmt::format("\"show\" must be a list, and this is {}", kind_name(show.kind)),
                      show.kind == JsonValue::Kind::object ? "write [ before it and ] after it"
                                                           : "write [{\"text\": \"...\", \"from\": \"0:42\"}]");
    for (JsonValue const& cue : show.items)
        if (context.count_cues(1, cue.at))
            read_show(context, cue, lesson, section);
    std::ranges::stable_sort(section.show, {}, [](ShowCue const& cue) { return *cue.from; });
}

void read_words(ReadContext& context, JsonValue const& value, Section& section)
{
    std::vector<JsonValue> const single{value};
    for (JsonValue const& line : value.kind == JsonValue::Kind::array ? value.items : single) {
        if (line.kind == JsonValue::Kind::string)
            section.words.push_back({line.text, line.at});
        else
            context.error("wrong-type", line.at,
                          fmt::format("\"words\" is a text or a list of lines, and this is {}", kind_name(line.kind)),
                          "write each line in double quotes");
    }
}

std::optional<Piece> read_piece(ReadContext& context, JsonValue const& value, overlay::Meter meter)
{
    ObjectReader reader(context, value, "a piece");
    Piece piece;
    JsonValue const* from_bar = reader.take("from_bar");
    auto const position = from_bar ? read_position(context, *from_bar, meter) : std::nullopt;
    if (!from_bar)
        reader.missing("from_bar", "say where in the bars the piece begins, as in \"3.1\"");
    if (auto const number = reader.integer("number", 1, 1'000'000))
        piece.number = **number;
    reader.finish();
    if (!position)
        return std::nullopt;
    piece.from_bar = *position;
    return piece;
}

void read_times(ReadContext& context, ObjectReader& reader, Section& section)
{
    section.from = reader.time("from");
    section.to = reader.time("to");
    if (section.from && section.to && **section.to <= **section.from) {
        context.error("no-length", section.to->at, fmt::format("part '{}' ends before it begins", *section.name),
                      "let \"to\" come after \"from\"");
        section.to.reset();
    }
}

bool within(Section const& section, SourcePosition at) { return section.at <= at && at <= section.end; }

void read_music(ReadContext& context, ObjectReader& reader, Lesson const& lesson, Section& section)
{
    section.meter = reader.meter("meter").value_or(lesson.meter);
    section.tempo = reader.tempo("tempo");
    if (!section.tempo)
        section.tempo = lesson.tempo;
    if (JsonValue const* pins = reader.take("pins", JsonValue::Kind::array))
        read_pins(context, *pins, section);
    JsonValue const* const as = reader.take("as");
    if (JsonValue const* bars = reader.take("bars"))
        section.bars = read_bars(context, *bars, lesson, *section.meter,
                                 within(section, bars->at) || !within(section, section.meter.at) ? nullptr : as);
    check_skips(context, section);
    if (JsonValue const* piece = reader.take("piece"))
        section.piece = read_piece(context, *piece, *section.meter);
    if (auto const count_in = reader.integer("count_in", 0, 8))
        section.count_in = **count_in;
    section.strum = read_strum_name(context, reader, lesson);
    if (section.bars && !reader.has("strum") && !context.default_strum()->empty())
        section.strum = context.default_strum();
}

/// Whether its end says how fast its bars are.
bool lasts_as_its_bars(Section const& section)
{
    if (!section.to || section.piece || !section.bars)
        return false;
    if (section.pins.empty())
        return section.from.has_value();
    Pin const& pin = section.pins.front();
    return **section.to > pin.next_time() && pin.next_position().bar <= section.bars->value.bars();
}

/// Bars take a start and a tempo or an end, or two pins; all else takes a start. Before listening, what is only between
/// two parts needs none.
void check_timing(ReadContext& context, ObjectReader& reader, Lesson const& lesson, Section const& section,
                  bool has_tempo)
{
    bool const has_time = reader.has("from") || !section.pins.empty();
    bool const between = !reader.has("bars") && section.show.empty() && !reader.has("show"); // of two that are heard
    if (!has_time && between && !context.wants_times() && !reader.has_stand_in("from"))
        return;
    if (!has_time && (!reader.has("bars") || reader.has_stand_in("from"))) {
        reader.missing("from", between ? fmt::format("say when it begins, or have the parts around it found ({})",
                                                     listen_command(lesson.file))
                                       : "say when it begins");
    } else if (!reader.has("bars")) {
        return;
    } else if (!context.wants_times()) {
        return;
    } else if (!has_time) {
        context.error("no-time", section.at, fmt::format("part '{}' has bars, but no time", *section.name),
                      fmt::format("find it in the sound ({}), or write when it begins, as in \"from\": \"0:42\"",
                                  listen_command(lesson.file)));
    } else if (!reader.has("tempo") && !has_tempo && section.pins.size() < 2 && !lasts_as_its_bars(section)) {
        context.error("no-tempo", section.at, fmt::format("part '{}' has bars, but no tempo", *section.name),
                      fmt::format("find it in the sound ({}), or write \"tempo\", or two pins, or with \"to\" when its "
                                  "bars end",
                                  listen_command(lesson.file)));
    }
}

Section read_section(ReadContext& context, JsonValue const& value, Lesson const& lesson, bool has_tempo)
{
    ObjectReader reader(context, value, "a part");
    Section section;
    section.at = value.at;
    section.end = value.end;
    auto const as = reader.string("as");
    section.name = reader.string("name").value_or(as.value_or(Sourced<std::string>{"", value.at}));
    if (!reader.has("name") && !reader.has("as"))
        reader.missing("name", "name the part: \"Verse\"");
    read_times(context, reader, section);
    read_music(context, reader, lesson, section);
    if (JsonValue const* seams = reader.take("seams", JsonValue::Kind::array))
        read_seams(context, *seams, section);
    section.text = reader.string("text");
    section.placement = reader.placement("placement");
    if (JsonValue const* words = reader.take("words"))
        read_words(context, *words, section);
    if (JsonValue const* show = reader.take("show"))
        read_cues(context, *show, lesson, section);
    check_timing(context, reader, lesson, section, has_tempo);
    reader.finish();
    return section;
}

void report_problems(ReadContext& context, SameAgain const& again)
{
    for (AsProblem const& problem : again.problems())
        context.error("bad-value", problem.at, problem.what,
                      problem.fix.empty()
                          ? context.suggestion(problem.name, again.names(), "name a part that has \"bars\"")
                          : problem.fix);
}

} // namespace

std::optional<Sourced<std::string>> read_strum_name(ReadContext& context, ObjectReader& reader, Lesson const& lesson)
{
    auto name = reader.string("strum");
    bool const none = name && **name == "none" && !lesson.find_strum("none");
    return name && !none && known_strum(context, lesson, *name) ? name : std::nullopt;
}

void read_sections(ReadContext& context, JsonValue const& list, Lesson& lesson, bool has_tempo)
{
    SameAgain const again(list);
    report_problems(context, again);
    std::size_t reused = 0;
    for (std::size_t i = 0; i < list.items.size(); ++i) {
        JsonValue const& value = list.items[i];
        if (!context.count_cues(1, value.at))
            return;
        std::size_t const bytes = again.reused_bytes(i);
        reused += bytes;
        if (reused > kMostCueFileBytes)
            return context.error("too-big", value.at, "the parts reuse more than a cue file may hold",
                                 "split it into several cue files");
        Section section = read_section(context, bytes > 0 ? again.filled(i) : value, lesson, has_tempo);
        bool const to_be_found = !context.wants_times() && (section.bars || section.show.empty());
        if (section.from || !section.pins.empty() || to_be_found)
            lesson.sections.push_back(std::move(section));
    }
}

} // namespace tabard::pipeline
