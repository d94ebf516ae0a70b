#include "overlay/music/shapes/fingering.h"
#include "pipeline/cues/likely_steps.h"
#include "pipeline/cues/object_reader.h"

#include <charconv>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr std::size_t kMostSteps = 64;

/// A shape from frets and fingers; none, with a finding, where it does not read or does not fit the instrument.
std::optional<NamedShape> make_shape(ReadContext& context, Lesson const& lesson, Sourced<std::string> const& frets,
                                     Sourced<std::string> const& fingers)
{
    Result<overlay::Shape> shape = overlay::Shape::parse(*frets, *fingers);
    if (!shape) {
        bool const frets_sound = overlay::Shape::parse(*frets).has_value();
        context.error("bad-shape", frets_sound ? fingers.at : frets.at, shape.error().what,
                      "write one sign for each string, low string first, as in \"x32010\" and \"-32-1-\"");
        return std::nullopt;
    }
    int const strings = lesson.tuning->strings();
    if (static_cast<int>(shape->frets.size()) != strings) {
        context.error(
            "bad-shape", frets.at,
            fmt::format("'{}' has {} strings, and the instrument has {}", *frets, shape->frets.size(), strings),
            "write one sign for each string, low string first");
        return std::nullopt;
    }
    bool const given = !shape->fingers.empty();
    if (!given)
        shape->fingers = overlay::assign_fingers(shape->frets);
    return NamedShape{std::nullopt, *std::move(shape), given, frets.at};
}

/// "x32010" or {"frets": ..., "fingers": ...}.
std::optional<NamedShape> read_shape(ReadContext& context, Lesson const& lesson, JsonValue const& value)
{
    if (value.kind == JsonValue::Kind::string)
        return make_shape(context, lesson, {value.text, value.at}, {});
    ObjectReader reader(context, value, "a shape");
    auto const frets = reader.string("frets");
    auto const fingers = reader.string("fingers");
    if (!reader.has("frets"))
        reader.missing("frets", "write the fret of each string, as in \"x32010\"");
    reader.finish();
    return frets ? make_shape(context, lesson, *frets, fingers.value_or(Sourced<std::string>{})) : std::nullopt;
}

/// {"easy": ..., "full": ...}: one shape for each level.
void read_levels(ReadContext& context, Lesson const& lesson, JsonValue const& value, ShapeEntry& entry)
{
    ObjectReader reader(context, value, "a chord with levels");
    for (auto const& [key, level] : {std::pair{"full", Level::full}, std::pair{"easy", Level::easy}}) {
        JsonValue const* written = reader.take(key);
        auto shape = written ? read_shape(context, lesson, *written) : std::nullopt;
        if (!shape)
            continue;
        shape->level = level;
        entry.shapes.push_back(*std::move(shape));
    }
    reader.finish();
}

std::optional<StrumEntry> read_strum(ReadContext& context, overlay::Meter meter, JsonValue::Member const& member)
{
    StrumEntry entry{member.key, {}, member.at};
    std::optional<Sourced<std::string>> steps;
    double swing = 0.5;
    if (member.value.kind == JsonValue::Kind::string) {
        steps = Sourced<std::string>{member.value.text, member.value.at};
    } else {
        ObjectReader reader(context, member.value, "a strum");
        steps = reader.string("steps");
        if (!reader.has("steps"))
            reader.missing("steps", "write its strokes, as in \"D - D U - U D U\"");
        if (JsonValue const* value = reader.take("swing", JsonValue::Kind::number)) {
            std::from_chars(value->text.data(), value->text.data() + value->text.size(), swing);
            if (!(swing >= 0.5 && swing <= 0.8)) {
                context.error("bad-value", value->at, fmt::format("the swing is {}", value->text),
                              "write 0.5 for even strokes, 0.667 for triplets, at most 0.8");
                swing = 0.5;
            }
        }
        reader.finish();
    }
    if (!steps)
        return std::nullopt;
    Result<overlay::StrumPattern> pattern = overlay::StrumPattern::parse(**steps);
    if (!pattern) {
        auto const likely = likely_steps(**steps, meter);
        context.error("bad-strum", steps->at, pattern.error().what,
                      likely ? fmt::format("write \"{}\"", *likely)
                             : "strokes are D, U or -, or plucked strings like 3i");
        return std::nullopt;
    }
    if (pattern->steps.size() > kMostSteps) {
        context.error("bad-strum", steps->at, fmt::format("the pattern has more than {} steps", kMostSteps),
                      "write one bar of it");
        return std::nullopt;
    }
    entry.pattern = *std::move(pattern);
    entry.pattern.swing = swing;
    return entry;
}

} // namespace

void read_shapes(ReadContext& context, JsonValue const& object, Lesson& lesson)
{
    ObjectReader reader(context, object, "the shapes table");
    reader.take_all();
    for (JsonValue::Member const* member : table_entries(object)) {
        if (!context.count_cues(1, member->at))
            break;
        ShapeEntry entry{member->key, {}, member->at};
        bool const levels = member->value.find("easy") || member->value.find("full");
        if (levels)
            read_levels(context, lesson, member->value, entry);
        else if (auto shape = read_shape(context, lesson, member->value))
            entry.shapes.push_back(*std::move(shape));
        if (!entry.shapes.empty())
            lesson.shapes.push_back(std::move(entry));
    }
    reader.finish();
}

void read_strums(ReadContext& context, JsonValue const& object, Lesson& lesson)
{
    ObjectReader reader(context, object, "the strums table");
    reader.take_all();
    for (JsonValue::Member const* member : table_entries(object)) {
        if (!context.count_cues(1, member->at))
            break;
        if (auto strum = read_strum(context, *lesson.meter, *member))
            lesson.strums.push_back(*std::move(strum));
        else
            context.add_broken_strum(member->key);
    }
    reader.finish();
}

} // namespace tabard::pipeline
