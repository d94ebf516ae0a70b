#include "pipeline/cues/transpose.h"

#include "overlay/base/small_letters.h"
#include "overlay/music/capo/capo.h"
#include "overlay/music/names/chord_name.h"
#include "pipeline/cues/chart.h"
#include "pipeline/cues/language_advice.h"

#include <algorithm>
#include <cstdlib>
#include <iterator>
#include <map>
#include <set>
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::pipeline {
namespace {

using overlay::ChordName;
using overlay::Key;
using overlay::NoteName;

/// Calls `visit` with each text of a section's charts and cues that holds chord names.
template <class Visit>
void for_chord_texts(JsonValue& document, Visit const& visit)
{
    JsonValue* const sections = document.find("sections");
    for (JsonValue& section : sections ? sections->items : document.items) {
        if (JsonValue* const bars = section.find("bars")) {
            if (bars->kind == JsonValue::Kind::string)
                visit(*bars, true);
            for (JsonValue& line : bars->items)
                visit(line, true);
        }
        if (JsonValue* const show = section.find("show"))
            for (JsonValue& cue : show->items)
                if (JsonValue* const chord = cue.find("chord"); chord && !chord->text.empty())
                    visit(*chord, false);
    }
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

/// How the author writes notes.
struct Spelling {
    overlay::NoteNames names = overlay::NoteNames::english;
    bool signs = false; ///< "F#" and not "Fis", where names could say either
};

/// Moves names by the interval between two notes.
class Mover {
public:
    Mover(NoteName from, NoteName to, Spelling spelling) : m_from(from), m_to(to), m_spelling(spelling) {}

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
        auto const names = m_spelling.names;
        ChordName const target = moved(chord);
        bool const pretty = name.find("♯") != std::string_view::npos || name.find("♭") != std::string_view::npos;
        std::string_view middle = name;
        auto const root = overlay::take_note(middle, names);
        std::string text = root ? text_of(target.root, pretty, root->small) : "";
        if (chord.bass) {
            auto bass = middle.substr(std::min(middle.rfind('/') + 1, middle.size()));
            bool const small = !bass.empty() && bass.front() >= 'a' && bass.front() <= 'z';
            middle = middle.substr(0, middle.rfind('/'));
            text += std::string(middle) + "/" + text_of(*target.bass, pretty, small);
        } else {
            text += std::string(middle);
        }
        auto const read = ChordName::parse(text, names);
        return read && *read == target ? text : target.text(names);
    }

private:
    std::string text_of(NoteName note, bool pretty, bool small) const
    {
        auto const names = m_spelling.names;
        auto text = pretty ? pretty_of(note, names) : overlay::text_of(note, names);
        bool const b_flat = note == NoteName{6, -1}; // has a letter of its own
        if (names == overlay::NoteNames::german && note.alter != 0 && !b_flat && (m_spelling.signs || pretty))
            text = overlay::text_of({note.letter, 0}, names) + (pretty ? note.pretty() : note.text()).substr(1);
        if (small && names != overlay::NoteNames::latin)
            text.front() = small_letter(text.front());
        return text;
    }

    /// Nobody reads a double sharp for the sake of its degree.
    static NoteName readable(NoteName note) { return note.alter * note.alter > 1 ? note.simplified() : note; }

    NoteName m_from;
    NoteName m_to;
    Spelling m_spelling;
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
Mover plainest_mover(std::set<ChordName> const& chords, int semitones, Spelling spelling)
{
    NoteName const c{};
    std::optional<Mover> best;
    for (int letter = 0; letter < 7; ++letter)
        for (int const alter : {0, -1, 1})
            if (NoteName const to{letter, alter}; to.pitch_class() == overlay::mod(semitones, 12))
                if (Mover const mover(c, to, spelling);
                    !best || accidentals(chords, mover) < accidentals(chords, *best))
                    best = mover;
    return *best;
}

struct NamesUsed {
    std::set<ChordName> chords;
    std::set<std::string> own; ///< those that have a shape of the author's
    bool signs = false;        ///< of names that could have words: "F#", where "Fis" is the other spelling
};

/// Gathers the names of a lesson.
class NameReader {
public:
    explicit NameReader(Lesson const& lesson) : m_lesson(lesson) {}

    void read(JsonValue const& text, bool chart)
    {
        if (!chart)
            return add(text.text, text.at);
        for (auto const& [begin, end] : names_in(text.text))
            add(std::string_view(text.text).substr(begin, end - begin), text.at);
    }

    /// Fails with all names that are none.
    Result<NamesUsed> take()
    {
        if (m_refused.empty())
            return std::move(m_used);
        std::vector<std::string> said;
        for (auto const& [name, line] : m_refused)
            if (said.size() < kMostNamed)
                said.push_back(fmt::format("line {}: '{}' is no chord name", line, name));
        if (m_refused.size() > said.size())
            said.push_back(fmt::format("and {} more", m_refused.size() - said.size()));
        bool const one = m_refused.size() == 1;
        auto const language = language_advice(m_refused.begin()->first, *m_lesson.names);
        return Error{ErrorKind::invalid_input,
                     fmt::format("{}, so the lesson cannot be transposed; {}, or change {} by hand",
                                 fmt::join(said, "; "),
                                 !language.empty() ? language : "name " + std::string(one ? "the chord" : "the chords"),
                                 one ? "it" : "them")};
    }

private:
    void add(std::string_view name, SourcePosition at)
    {
        auto const chord = m_lesson.chord(name);
        if (!chord) {
            m_refused.try_emplace(std::string(name), at.line);
            return;
        }
        m_used.chords.insert(*chord);
        auto const bass = name.substr(std::min(name.rfind('/') + 1, name.size()));
        for (auto const note : {name, bass})
            m_used.signs = m_used.signs || (note.size() > 1 && (note[1] == '#' || note[1] == 'b'));
        if (m_lesson.find_shape(name))
            m_used.own.insert(std::string(name));
    }

    static constexpr std::size_t kMostNamed = 10;
    Lesson const& m_lesson;
    NamesUsed m_used;
    std::map<std::string, int> m_refused; ///< names, and the line where each is met first
};

Result<NamesUsed> names_used(JsonValue& document, Lesson const& lesson)
{
    NameReader reader(lesson);
    for_chord_texts(document, [&](JsonValue const& text, bool chart) { reader.read(text, chart); });
    return reader.take();
}

std::string moved_chart(std::string const& chart, Lesson const& lesson, Mover const& mover)
{
    std::string text;
    std::size_t done = 0;
    for (auto const& [begin, end] : names_in(chart)) {
        std::string_view const name = std::string_view(chart).substr(begin, end - begin);
        text += chart.substr(done, begin - done);
        text += mover.moved(name, *lesson.chord(name));
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
    auto const names = *lesson.names;
    TRY_ASSIGN(Key const key, Key::parse(*lesson.key, names));
    if (request.key && request.key->minor != key.minor)
        return Error{ErrorKind::invalid_input,
                     fmt::format("the lesson sounds in {} and {} is {}; chords are moved, not changed: ask for {}{}",
                                 key.text(names), request.key->text(names), request.key->minor ? "minor" : "major",
                                 text_of(request.key->tonic, names), key.minor ? "m" : "")};
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
    Spelling const spelling{*lesson.names, used.signs};
    Mover const mover =
        from ? Mover(from->tonic, to->tonic, spelling) : plainest_mover(used.chords, result.semitones, spelling);
    for_chord_texts(result.document, [&](JsonValue& text, bool chart) {
        text.text = chart ? moved_chart(text.text, lesson, mover) : mover.moved(text.text, *lesson.chord(text.text));
    });
    if (request.capo)
        set_early(result.document, "capo", JsonValue::number(capo));
    if (request.key)
        set_early(result.document, "key", JsonValue::string(request.key->text(*lesson.names)));
    result.shapes_key = to ? to->text(*lesson.names) : "";
    TRY_ASSIGN(NamesUsed const now, names_used(result.document, lesson));
    std::ranges::set_difference(used.own, now.own, std::back_inserter(result.own_shapes));
    return result;
}

} // namespace tabard::pipeline
