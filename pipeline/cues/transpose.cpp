#include "pipeline/cues/transpose.h"

#include "overlay/music/capo/capo.h"
#include "overlay/music/names/chord_name.h"
#include "pipeline/cues/chart.h"

#include <algorithm>
#include <cstdlib>
#include <iterator>
#include <set>
#include <utility>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

using overlay::ChordName;
using overlay::Key;
using overlay::NoteName;

/// Calls `visit` with each text of a section's charts and cues that holds chord names.
template <class Visit>
Result<void> for_chord_texts(JsonValue& document, Visit const& visit)
{
    JsonValue* const sections = document.find("sections");
    for (JsonValue& section : sections ? sections->items : document.items) {
        if (JsonValue* const bars = section.find("bars")) {
            if (bars->kind == JsonValue::Kind::string)
                TRY_VOID(visit(*bars, true));
            for (JsonValue& line : bars->items)
                TRY_VOID(visit(line, true));
        }
        if (JsonValue* const show = section.find("show"))
            for (JsonValue& cue : show->items)
                if (JsonValue* const chord = cue.find("chord"); chord && !chord->text.empty())
                    TRY_VOID(visit(*chord, false));
    }
    return {};
}

/// The words of a chart that may be names, each as a place in the text.
std::vector<std::pair<std::size_t, std::size_t>> names_in(std::string_view chart)
{
    auto const between = [&](std::size_t at) -> std::size_t {
        std::size_t const space = chart_space(chart.substr(at));
        return space > 0 ? space : chart[at] == '|' || chart[at] == ':' ? 1 : 0;
    };
    std::vector<std::pair<std::size_t, std::size_t>> names;
    for (std::size_t begin = 0; begin < chart.size();) {
        if (std::size_t const gap = between(begin); gap > 0) {
            begin += gap;
            continue;
        }
        std::size_t end = begin;
        while (end < chart.size() && between(end) == 0)
            ++end;
        auto const word = chart.substr(begin, end - begin);
        bool const times =
            (word.starts_with('x') || word.starts_with("\u00D7")) &&
            word.find_first_not_of("0123456789", word.starts_with('x') ? 1 : 2) == std::string_view::npos;
        if (word != "%" && word.find_first_not_of('/') != std::string_view::npos && !times)
            names.emplace_back(begin, end);
        begin = end;
    }
    return names;
}

/// Moves names by the interval between two notes.
class Mover {
public:
    Mover(NoteName from, NoteName to) : m_from(from), m_to(to) {}

    ChordName moved(ChordName const& chord) const
    {
        ChordName result = chord.transposed(m_from, m_to);
        result.root = readable(result.root);
        if (result.bass)
            result.bass = readable(*result.bass);
        return result;
    }

    /// The name with other roots, and else as the author wrote it.
    std::string moved(std::string_view name, ChordName const& chord) const
    {
        if (chord.no_chord)
            return std::string(name);
        ChordName const target = moved(chord);
        bool const pretty = name.find("♯") != std::string_view::npos || name.find("♭") != std::string_view::npos;
        auto const note = [&](NoteName of) { return pretty ? of.pretty() : of.text(); };
        std::string_view middle = name;
        (void)overlay::take_note(middle);
        if (chord.bass)
            middle = middle.substr(0, middle.rfind('/'));
        std::string text = note(target.root) + std::string(middle) + (target.bass ? "/" + note(*target.bass) : "");
        auto const read = ChordName::parse(text);
        return read && *read == target ? text : target.text();
    }

private:
    /// Nobody reads a double sharp for the sake of its degree.
    static NoteName readable(NoteName note) { return note.alter * note.alter > 1 ? note.simplified() : note; }

    NoteName m_from;
    NoteName m_to;
};

/// Accidentals of all notes of the chords after they were moved.
int accidentals(std::set<ChordName> const& chords, Mover const& mover)
{
    int count = 0;
    for (ChordName const& chord : chords)
        for (NoteName const note : mover.moved(chord).notes())
            count += std::abs(note.alter);
    return count;
}

/// For a lesson that says no key: of the ways to spell the interval from C (to B or to C flat) the one that takes fewer
/// accidentals.
Mover plainest_mover(std::set<ChordName> const& chords, int semitones)
{
    NoteName const c{};
    std::optional<Mover> best;
    for (int letter = 0; letter < 7; ++letter)
        for (int const alter : {0, -1, 1})
            if (NoteName const to{letter, alter}; to.pitch_class() == overlay::mod(semitones, 12))
                if (Mover const mover(c, to); !best || accidentals(chords, mover) < accidentals(chords, *best))
                    best = mover;
    return *best;
}

struct NamesUsed {
    std::set<ChordName> chords;
    std::set<std::string> own; ///< those that have a shape of the author's
};

/// Gathers the names of a lesson.
class NameReader {
public:
    explicit NameReader(Lesson const& lesson) : m_lesson(lesson) {}

    Result<void> read(JsonValue const& text, bool chart)
    {
        if (!chart)
            return add(text.text, text.at);
        for (auto const& [begin, end] : names_in(text.text))
            TRY_VOID(add(std::string_view(text.text).substr(begin, end - begin), text.at));
        return {};
    }

    NamesUsed take() { return std::move(m_used); }

private:
    Result<void> add(std::string_view name, SourcePosition at)
    {
        auto const chord = ChordName::parse(name);
        if (!chord)
            return Error{ErrorKind::invalid_input,
                         fmt::format("line {}: '{}' is no chord name, so it cannot be transposed; name the chord, or "
                                     "change it by hand",
                                     at.line, name)};
        m_used.chords.insert(*chord);
        if (m_lesson.find_shape(name))
            m_used.own.insert(std::string(name));
        return {};
    }

    Lesson const& m_lesson;
    NamesUsed m_used;
};

Result<NamesUsed> names_used(JsonValue& document, Lesson const& lesson)
{
    NameReader reader(lesson);
    TRY_VOID(for_chord_texts(document, [&](JsonValue const& text, bool chart) { return reader.read(text, chart); }));
    return reader.take();
}

std::string moved_chart(std::string const& chart, Mover const& mover)
{
    std::string text;
    std::size_t done = 0;
    for (auto const& [begin, end] : names_in(chart)) {
        std::string_view const name = std::string_view(chart).substr(begin, end - begin);
        text += chart.substr(done, begin - done);
        text += mover.moved(name, *ChordName::parse(name));
        done = end;
    }
    return text + chart.substr(done);
}

/// Changes a member where it stands; a new one comes before the sections.
void set_early(JsonValue& document, std::string_view key, JsonValue value)
{
    if (JsonValue* const old = document.find(key)) {
        value.at = old->at;
        *old = std::move(value);
        return;
    }
    auto const place = std::ranges::find(document.members, "sections", &JsonValue::Member::key);
    document.members.insert(place, {std::string(key), std::move(value), {}});
}

Result<std::optional<Key>> key_of(Lesson const& lesson, TransposeRequest const& request)
{
    if (lesson.key->empty()) {
        if (request.key)
            return Error{ErrorKind::invalid_input, "the lesson does not say in which key it sounds; add \"key\" to it "
                                                   "first"};
        return std::optional<Key>{};
    }
    TRY_ASSIGN(Key const key, Key::parse(*lesson.key));
    if (request.key && request.key->minor != key.minor)
        return Error{ErrorKind::invalid_input,
                     fmt::format("the lesson sounds in {} and {} is {}; chords are moved, not changed: ask for {}{}",
                                 key.text(), request.key->text(), request.key->minor ? "minor" : "major",
                                 request.key->tonic.text(), key.minor ? "m" : "")};
    return std::optional<Key>{key};
}

/// -6 to 6: the shorter way.
int shorter_way(int semitones)
{
    int const up = overlay::mod(semitones, 12);
    return up > 6 ? up - 12 : up;
}

} // namespace

Result<Transposed> transpose(LessonFile const& file, TransposeRequest const& request)
{
    Lesson const& lesson = *file.reading.lesson;
    Transposed result{file.document, 0, "", {}};
    TRY_ASSIGN(auto const key, key_of(lesson, request));
    TRY_ASSIGN(NamesUsed const used, names_used(result.document, lesson));
    int const capo = request.capo.value_or(*lesson.capo);
    auto const from = key ? std::optional{overlay::shapes_key(*key, *lesson.capo)} : std::nullopt;
    auto const to = key ? std::optional{overlay::shapes_key(request.key.value_or(*key), capo)} : std::nullopt;
    result.semitones = shorter_way(from ? to->tonic.pitch_class() - from->tonic.pitch_class() : *lesson.capo - capo);
    Mover const mover = from ? Mover(from->tonic, to->tonic) : plainest_mover(used.chords, result.semitones);
    TRY_VOID(for_chord_texts(result.document, [&](JsonValue& text, bool chart) -> Result<void> {
        text.text = chart ? moved_chart(text.text, mover) : mover.moved(text.text, *ChordName::parse(text.text));
        return {};
    }));
    if (request.capo)
        set_early(result.document, "capo", JsonValue::number(capo));
    if (request.key)
        set_early(result.document, "key", JsonValue::string(request.key->text()));
    result.shapes_key = to ? to->text() : "";
    TRY_ASSIGN(NamesUsed const now, names_used(result.document, lesson));
    std::ranges::set_difference(used.own, now.own, std::back_inserter(result.own_shapes));
    return result;
}

} // namespace tabard::pipeline
