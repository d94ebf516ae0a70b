#include "cli/chord_report.h"

#include "cli/json_line.h"
#include "overlay/base/characters.h"
#include "overlay/music/capo/capo.h"
#include "overlay/music/capo/capo_advice.h"
#include "overlay/music/hand/movement.h"
#include "overlay/music/shapes/shape_search.h"
#include "overlay/music/shapes/sounding.h"
#include "overlay/music/shapes/text_diagram.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::cli {
namespace {

using overlay::ChordName;
using overlay::NoteName;
using overlay::NoteNames;
using overlay::Shape;

constexpr std::size_t kDiagramsInARow = 4;

/// With a column of the terminal for each code point.
std::string padded(std::string const& text, std::size_t columns)
{
    auto const wide = count_characters(text);
    return text + std::string(wide < columns ? columns - wide : 0, ' ');
}

/// The chord that sounds, spelled for the key that the capo makes; without a key, for one on the chord's own root.
ChordName sounding_name(ChordName const& chord, ChordSetting const& setting)
{
    bool const minor = chord.third == ChordName::Third::minor;
    return overlay::sounding_chord(chord, setting.key.value_or(overlay::Key{chord.root, minor}), setting.capo);
}

ShapeReport judged(Shape const& shape, std::string reason, ChordName const& chord, ChordSetting const& setting)
{
    auto const& instrument = setting.instrument;
    return {shape, std::move(reason), judge(shape, chord, instrument.tuning),
            judge_hand(shape, instrument.tuning, instrument.scale_mm, setting.capo)};
}

std::string set_in_type(ChordName const& chord, NoteNames names)
{
    auto const label = chord.label(names);
    return label.base + label.raised + (label.bass.empty() ? "" : "/" + label.bass);
}

/// Its tones, and behind a slash the bass where that is none of them.
std::vector<NoteName> notes_of(ChordName const& chord)
{
    auto notes = chord.notes();
    if (chord.bass && std::ranges::find(notes, chord.bass->pitch_class(), &NoteName::pitch_class) == notes.end())
        notes.push_back(*chord.bass);
    return notes;
}

std::string notes_text(ChordName const& chord, NoteNames names)
{
    std::string text;
    for (NoteName const note : notes_of(chord))
        text += (text.empty() ? "" : " ") + pretty_of(note, names);
    return text;
}

std::string heading(ChordReport const& report, ChordSetting const& setting)
{
    auto const line =
        fmt::format("{}: {}", set_in_type(report.chord, setting.names), notes_text(report.chord, setting.names));
    if (setting.capo == 0 || report.chord.no_chord)
        return line + "\n";
    auto const sounds = sounding_name(report.chord, setting);
    return fmt::format("{}; with the capo at fret {} it sounds {}: {}\n", line, setting.capo,
                       set_in_type(sounds, setting.names), notes_text(sounds, setting.names));
}

/// The lines under one diagram.
std::vector<std::string> captions(ShapeReport const& one, ChordReport const& report, ChordSetting const& setting)
{
    std::vector<std::string> lines{one.shape.frets_text(), one.reason, text_of(one.hand)};
    if (!one.verdict.exact())
        lines.push_back(text_of(one.verdict, report.chord, setting.instrument.tuning, setting.names));
    for (auto const& fault : one.hand.faults)
        lines.push_back(text_of(fault, one.shape));
    std::erase(lines, "");
    return lines;
}

std::string side_by_side(std::vector<std::vector<std::string>> const& blocks)
{
    std::size_t height = 0;
    std::vector<std::size_t> widths;
    for (auto const& block : blocks) {
        height = std::max(height, block.size());
        std::size_t width = 0;
        for (auto const& line : block)
            width = std::max(width, count_characters(line));
        widths.push_back(width);
    }
    std::string text;
    for (std::size_t row = 0; row < height; ++row) {
        std::string line;
        for (std::size_t i = 0; i < blocks.size(); ++i)
            line += padded(row < blocks[i].size() ? blocks[i][row] : "", widths[i] + 3);
        line.erase(line.find_last_not_of(' ') + 1);
        text += line + "\n";
    }
    return text;
}

nlohmann::ordered_json shape_json(ShapeReport const& one, ChordReport const& report, ChordSetting const& setting)
{
    nlohmann::ordered_json json{{"frets", one.shape.frets_text()}, {"fingers", one.shape.fingers_text()}};
    auto& sounding = json["sounding"] = nlohmann::ordered_json::array();
    for (auto const pitch : sounding_pitches(one.shape, setting.instrument.tuning, setting.capo))
        if (pitch)
            sounding.push_back(*pitch);
    json["verdict"] = text_of(one.verdict, report.chord, setting.instrument.tuning, setting.names);
    json["fits"] = one.verdict.fits();
    json["hand"] = text_of(one.hand);
    json["playable"] = one.hand.playable();
    auto& faults = json["faults"] = nlohmann::ordered_json::array();
    for (auto const& fault : one.hand.faults)
        faults.push_back(text_of(fault, one.shape));
    if (!one.reason.empty())
        json["reason"] = one.reason;
    return json;
}

nlohmann::ordered_json chord_json(ChordReport const& report, ChordSetting const& setting)
{
    nlohmann::ordered_json json{{"name", report.chord.text(setting.names)}};
    auto& notes = json["notes"] = nlohmann::ordered_json::array();
    for (NoteName const note : notes_of(report.chord))
        notes.push_back(text_of(note, setting.names));
    if (setting.capo > 0)
        json["sounds"] = sounding_name(report.chord, setting).text(setting.names);
    auto& shapes = json["shapes"] = nlohmann::ordered_json::array();
    for (auto const& one : report.shapes)
        shapes.push_back(shape_json(one, report, setting));
    if (!report.names.empty()) {
        auto& names = json["names"] = nlohmann::ordered_json::array();
        for (auto const& name : report.names)
            names.push_back({{"name", name.chord.text(setting.names)}, {"reason", name.reason}});
    }
    return json;
}

} // namespace

ChordReport search_report(ChordName const& chord, ChordSetting const& setting, std::size_t most)
{
    ChordReport report{chord, {}, {}, true};
    for (auto& found : find_shapes(chord, setting.instrument.tuning, most, setting.capo))
        report.shapes.push_back(judged(found.shape, std::move(found.reason), chord, setting));
    return report;
}

Result<ChordReport> shape_report(Shape const& shape, std::optional<ChordName> const& chord, ChordSetting const& setting)
{
    auto const& tuning = setting.instrument.tuning;
    if (shape.frets.size() != tuning.open_strings.size())
        return Error{ErrorKind::invalid_input,
                     fmt::format("the frets \"{}\" are for {} strings, but a {} has {}", shape.frets_text(),
                                 shape.frets.size(), setting.instrument.name, tuning.strings())};
    auto names = names_of(shape, tuning, setting.key);
    if (names.empty() && !chord)
        return Error{ErrorKind::invalid_input, fmt::format("no chord name fits the frets \"{}\"", shape.frets_text())};
    ChordReport report{chord ? *chord : names.front().chord, {}, std::move(names), true};
    report.shapes.push_back(judged(shape, "", report.chord, setting));
    report.fits = report.shapes.front().verdict.fits() && report.shapes.front().hand.playable();
    if (chord && report.shapes.front().verdict.fits())
        report.names.clear(); // nothing to suggest
    return report;
}

std::string report_text(ChordReport const& report, ChordSetting const& setting)
{
    auto text = heading(report, setting);
    std::vector<std::vector<std::string>> blocks;
    for (auto const& one : report.shapes) {
        auto block = text_diagram(one.shape, setting.left_handed);
        for (auto& caption : captions(one, report, setting))
            block.push_back("   " + std::move(caption));
        blocks.push_back(std::move(block));
        if (blocks.size() == kDiagramsInARow)
            text += side_by_side(std::exchange(blocks, {}));
    }
    text += side_by_side(blocks);
    for (auto const& name : report.names)
        text += fmt::format("   {}: {}\n", set_in_type(name.chord, setting.names), name.reason);
    if (report.shapes.empty() && !report.chord.no_chord)
        text += fmt::format("   no shape on a {} holds all of these notes\n", setting.instrument.name);
    return text;
}

std::string moves_report(std::vector<ChordReport> const& reports, ChordSetting const& setting)
{
    std::string text;
    std::vector<Shape> shapes;
    for (std::size_t i = 0; i < reports.size(); ++i) {
        if (reports[i].shapes.empty())
            continue;
        shapes.push_back(reports[i].shapes.front().shape);
        if (i > 0 && !reports[i - 1].shapes.empty())
            text += fmt::format("{} to {}: {}\n", set_in_type(reports[i - 1].chord, setting.names),
                                set_in_type(reports[i].chord, setting.names),
                                overlay::moves_text(shapes[shapes.size() - 2], shapes.back()));
    }
    if (shapes.size() < 3)
        return text;
    auto const anchor = overlay::anchor_of(shapes);
    return anchor.empty() ? text
                          : text + "Through all of them: " +
                                overlay::anchor_text(anchor, static_cast<int>(shapes.front().frets.size())) + "\n";
}

std::string capo_report(std::vector<ChordName> const& song, overlay::Key sounding, ChordSetting const& setting)
{
    std::string text;
    for (auto const& choice : overlay::advise_capo(song, sounding, setting.instrument.tuning)) {
        std::string chords;
        for (auto const& chord : choice.chords)
            chords += (chords.empty() ? "" : " ") + set_in_type(chord, setting.names);
        text += fmt::format("{}: {}\n", choice.text(), chords);
    }
    return text;
}

std::string report_json(std::vector<ChordReport> const& reports, std::vector<RefusedName> const& refused,
                        ChordSetting const& setting)
{
    nlohmann::ordered_json json{{"version", 1}, {"instrument", setting.instrument.name}};
    auto& tuning = json["tuning"] = nlohmann::ordered_json::array();
    for (int const midi : setting.instrument.tuning.open_strings)
        tuning.push_back(overlay::pitch_text(midi));
    json["capo"] = setting.capo;
    auto& chords = json["chords"] = nlohmann::ordered_json::array();
    for (auto const& report : reports)
        chords.push_back(chord_json(report, setting));
    for (auto const& name : refused)
        json["refused"].push_back({{"name", name.name}, {"error", name.error.what}});
    return json.dump(2) + "\n";
}

} // namespace tabard::cli
