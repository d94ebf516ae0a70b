#include "overlay/music/musicxml/musicxml.h"

#include "overlay/music/musicxml/musicxml_kind.h"
#include "overlay/music/shapes/fingering.h"
#include "overlay/music/shapes/fret_window.h"

#include <algorithm>
#include <functional>
#include <utility>

#include <fmt/format.h>
#include <pugixml.hpp>

namespace tabard::overlay {
namespace {

constexpr std::string_view kSteps = "CDEFGAB";

void add_text(pugi::xml_node parent, char const* name, std::string const& text)
{
    parent.append_child(name).text().set(text.c_str());
}

void add_number(pugi::xml_node parent, char const* name, int number) { parent.append_child(name).text().set(number); }

/// root-step and root-alter, or the same of a bass or a tuning.
void add_note(pugi::xml_node parent, std::string const& prefix, NoteName note)
{
    add_text(parent, (prefix + "-step").c_str(), std::string(1, kSteps[static_cast<std::size_t>(note.letter)]));
    if (note.alter != 0)
        add_number(parent, (prefix + "-alter").c_str(), note.alter);
}

void add_degree(pugi::xml_node harmony, Degree const& degree)
{
    auto node = harmony.append_child("degree");
    add_number(node, "degree-value", degree.value);
    add_number(node, "degree-alter", degree.alter);
    add_text(node, "degree-type",
             degree.type == Degree::Type::add     ? "add"
             : degree.type == Degree::Type::alter ? "alter"
                                                  : "subtract");
}

char const* barre_type(std::vector<Barre> const& barres, std::size_t string)
{
    auto const at = static_cast<int>(string);
    for (auto const& barre : barres) {
        if (barre.first_string == at)
            return "start";
        if (barre.last_string == at)
            return "stop";
    }
    return nullptr;
}

void add_frame(pugi::xml_node harmony, Shape const& shape)
{
    auto const strings = shape.frets.size();
    FretWindow const window = fret_window(shape);
    auto frame = harmony.append_child("frame");
    frame.append_attribute("unplayed") = "x";
    add_number(frame, "frame-strings", static_cast<int>(strings));
    add_number(frame, "frame-frets", window.rows);
    if (window.first > 1)
        add_number(frame, "first-fret", window.first);
    auto const barres = shape.barres();
    for (std::size_t i = 0; i < strings; ++i) {
        if (shape.frets[i] == kMuted)
            continue;
        auto note = frame.append_child("frame-note");
        add_number(note, "string", static_cast<int>(strings - i));
        add_number(note, "fret", shape.frets[i]);
        int const finger = shape.fingers.empty() ? kNoFinger : shape.fingers[i];
        if (finger != kNoFinger)
            add_text(note, "fingering", finger == kThumb ? "T" : std::to_string(finger));
        if (auto const* type = barre_type(barres, i))
            note.append_child("barre").append_attribute("type") = type;
    }
}

void add_harmony(pugi::xml_node measure, Harmony const& harmony)
{
    auto node = measure.append_child("harmony");
    add_note(node.append_child("root"), "root", harmony.chord.root);
    auto const kind = kind_of(harmony.chord);
    auto kind_node = node.append_child("kind");
    auto const label = harmony.chord.label();
    // How the kind is printed: all that follows the letter of the root.
    kind_node.append_attribute("text") =
        harmony.chord.no_chord ? "" : (label.base.substr(harmony.chord.root.pretty().size()) + label.raised).c_str();
    kind_node.text().set(std::string(kind.name).c_str());
    if (harmony.chord.bass)
        add_note(node.append_child("bass"), "bass", *harmony.chord.bass);
    for (auto const& degree : kind.degrees)
        add_degree(node, degree);
    bool const sounds = harmony.shape && std::ranges::any_of(harmony.shape->frets, [](int fret) { return fret >= 0; });
    if (sounds)
        add_frame(node, *harmony.shape);
}

void add_attributes(pugi::xml_node measure, Tuning const& tuning, int capo)
{
    auto attributes = measure.append_child("attributes");
    add_number(attributes, "divisions", 1);
    auto time = attributes.append_child("time");
    add_number(time, "beats", 4);
    add_number(time, "beat-type", 4);
    auto details = attributes.append_child("staff-details");
    add_number(details, "staff-lines", tuning.strings());
    for (std::size_t i = 0; i < tuning.open_strings.size(); ++i) {
        auto line = details.append_child("staff-tuning"); // line 1 is the lowest on the page: the first string
        line.append_attribute("line") = static_cast<int>(i + 1);
        add_note(line, "tuning", note_of(tuning.open_strings[i], Accidentals::sharps));
        add_number(line, "tuning-octave", tuning.open_strings[i] / 12 - 1);
    }
    if (capo > 0)
        add_number(details, "capo", capo);
}

void add_rest(pugi::xml_node measure)
{
    auto note = measure.append_child("note");
    note.append_child("rest").append_attribute("measure") = "yes";
    add_number(note, "duration", 4);
}

struct StringWriter : pugi::xml_writer {
    std::string text;
    void write(void const* data, std::size_t size) override { text.append(static_cast<char const*>(data), size); }
};

std::optional<NoteName> note_at(pugi::xml_node node, std::string const& prefix)
{
    auto const letter = kSteps.find(node.child((prefix + "-step").c_str()).text().as_string("?")[0]);
    int const alter = node.child((prefix + "-alter").c_str()).text().as_int();
    if (letter == std::string_view::npos || alter < -2 || alter > 2)
        return std::nullopt;
    return NoteName{static_cast<int>(letter), alter};
}

std::vector<Degree> degrees_at(pugi::xml_node harmony)
{
    std::vector<Degree> degrees;
    for (auto const node : harmony.children("degree")) {
        std::string_view const type = node.child("degree-type").text().as_string();
        degrees.push_back({node.child("degree-value").text().as_int(), node.child("degree-alter").text().as_int(),
                           type == "alter"      ? Degree::Type::alter
                           : type == "subtract" ? Degree::Type::subtract
                                                : Degree::Type::add});
    }
    return degrees;
}

/// Pairs what begins and ends a barre: each end belongs to the nearest beginning below it on the same fret.
class BarrePairs {
public:
    void add(std::string_view type, std::size_t string, int fret)
    {
        if (type == "start")
            m_open.push_back({fret, kNoFinger, static_cast<int>(string), static_cast<int>(string)});
        if (type == "stop")
            m_ends.emplace_back(fret, static_cast<int>(string));
    }

    std::vector<Barre> laid() &&
    {
        std::ranges::sort(m_open, std::greater{}, &Barre::first_string);
        std::ranges::sort(m_ends, {}, &std::pair<int, int>::second);
        std::vector<Barre> found;
        for (auto const& [fret, string] : m_ends) {
            auto const open = std::ranges::find_if(
                m_open, [&](Barre const& one) { return one.fret == fret && one.first_string < string; });
            if (open == m_open.end())
                continue;
            open->last_string = string;
            found.push_back(*open);
            m_open.erase(open);
        }
        return found;
    }

private:
    std::vector<Barre> m_open;
    std::vector<std::pair<int, int>> m_ends;
};

Result<Shape> shape_at(pugi::xml_node frame)
{
    int const strings = frame.child("frame-strings").text().as_int();
    if (strings < 3 || strings > 12)
        return Error{ErrorKind::unsupported, fmt::format("a frame has {} strings; 3 to 12 can be read", strings)};
    Shape shape;
    shape.frets.assign(static_cast<std::size_t>(strings), kMuted);
    shape.fingers.assign(static_cast<std::size_t>(strings), kNoFinger);
    BarrePairs barres;
    for (auto const note : frame.children("frame-note")) {
        int const string = note.child("string").text().as_int();
        int const fret = note.child("fret").text().as_int(-1);
        if (string < 1 || string > strings || fret < 0 || fret > 36)
            return Error{ErrorKind::decode, fmt::format("a frame-note is on string {}, fret {}", string, fret)};
        auto const index = static_cast<std::size_t>(strings - string);
        shape.frets[index] = fret;
        std::string_view const finger = note.child("fingering").text().as_string();
        if (finger.size() == 1 && (finger == "T" || (finger >= "1" && finger <= "4"))) {
            shape.fingers[index] = finger == "T" ? kThumb : finger[0] - '0';
        }
        barres.add(note.child("barre").attribute("type").as_string(), index, fret);
    }
    lay_barres(shape, std::move(barres).laid());
    if (std::ranges::count(shape.fingers, kNoFinger) == strings)
        shape.fingers.clear();
    return shape;
}

Result<Harmony> harmony_at(pugi::xml_node node)
{
    Harmony harmony;
    std::string const kind = node.child("kind").text().as_string();
    auto const chord = chord_of(kind, degrees_at(node));
    if (!chord)
        return Error{ErrorKind::unsupported,
                     fmt::format("no chord name says the MusicXML kind \"{}\" with its degrees", kind)};
    harmony.chord = *chord;
    if (!harmony.chord.no_chord) {
        auto const root = note_at(node.child("root"), "root");
        if (!root)
            return Error{ErrorKind::decode, "a harmony has no root"};
        harmony.chord.root = *root;
        if (node.child("bass"))
            harmony.chord.bass = note_at(node.child("bass"), "bass");
    }
    if (auto const frame = node.child("frame")) {
        TRY_ASSIGN(harmony.shape, shape_at(frame));
    }
    return harmony;
}

/// Collects harmonies wherever they stand.
class HarmonyWalker : public pugi::xml_tree_walker {
public:
    bool for_each(pugi::xml_node& node) override
    {
        if (std::string_view(node.name()) != "harmony")
            return true;
        found.push_back(harmony_at(node));
        return true;
    }
    std::vector<Result<Harmony>> found;
};

} // namespace

std::string to_musicxml(std::vector<Harmony> const& harmonies, Tuning const& tuning, int capo)
{
    pugi::xml_document document;
    auto declaration = document.append_child(pugi::node_declaration);
    declaration.append_attribute("version") = "1.0";
    declaration.append_attribute("encoding") = "UTF-8";
    auto score = document.append_child("score-partwise");
    score.append_attribute("version") = "4.0";
    auto part_entry = score.append_child("part-list").append_child("score-part");
    part_entry.append_attribute("id") = "P1";
    add_text(part_entry, "part-name", "Chords");
    auto part = score.append_child("part");
    part.append_attribute("id") = "P1";
    int number = 0;
    for (auto const& harmony : harmonies) {
        auto measure = part.append_child("measure");
        measure.append_attribute("number") = ++number;
        if (number == 1)
            add_attributes(measure, tuning, capo);
        add_harmony(measure, harmony);
        add_rest(measure);
    }
    StringWriter writer;
    document.save(writer, "  ");
    return writer.text;
}

Result<std::vector<Result<Harmony>>> from_musicxml(std::string_view xml)
{
    pugi::xml_document document;
    auto const parsed = document.load_buffer(xml.data(), xml.size());
    if (!parsed)
        return Error{ErrorKind::decode,
                     fmt::format("not MusicXML: {} at byte {}", parsed.description(), parsed.offset)};
    HarmonyWalker walker;
    document.traverse(walker);
    return std::move(walker.found);
}

} // namespace tabard::overlay
