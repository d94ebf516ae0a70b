#include "pipeline/retime/retime.h"

#include "pipeline/cues/same_again.h"
#include "pipeline/retime/bake_section.h"
#include "pipeline/retime/section_part.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <map>

namespace tabard::pipeline {
namespace {

ShownCues shown_cues(Timeline const& timeline)
{
    ShownCues shown;
    for (ChordSpan const& span : timeline.chords())
        if (!span.played)
            shown[span.at] = {ShownCue::Kind::chord, {span.in, span.out}};
    for (StrumSpan const& span : timeline.strums())
        if (!span.played)
            shown[span.at] = {ShownCue::Kind::strum, {span.in, span.out}};
    for (TextSpan const& span : timeline.texts())
        shown[span.at] = {ShownCue::Kind::text, {span.in, span.out}};
    return shown;
}

std::map<SourcePosition, JsonValue const*> sections_by_place(JsonValue const& document)
{
    std::map<SourcePosition, JsonValue const*> result;
    if (JsonValue const* const list = document.find("sections"))
        for (JsonValue const& json : list->items)
            result[json.at] = &json;
    return result;
}

std::vector<BakedSection> bake_all(JsonValue const& document, Lesson const& lesson, Timeline const& timeline,
                                   EditMap const& cut)
{
    ShownCues const shown = shown_cues(timeline);
    auto const by_place = sections_by_place(document);
    std::vector<BakedSection> baked;
    for (SectionSpan const& span : timeline.sections()) {
        Section const& section = lesson.sections[static_cast<std::size_t>(span.section)];
        auto const json = by_place.find(section.at);
        if (json == by_place.end())
            continue;
        CountInSeen const count_in(span, section, cut);
        SectionOrigin const origin{json->second, &section, &span,    static_cast<std::size_t>(span.section),
                                   &shown,       &cut,     &count_in};
        std::ranges::move(bake(origin, parts_of(span, cut)), std::back_inserter(baked));
    }
    std::ranges::stable_sort(baked, {}, [](BakedSection const& section) { return section.target.from; });
    return baked;
}

/// Sections without "to" end with their bars, with the next section or with the film: where that is no longer the end
/// that is meant, it is written.
void close_open_ends(std::vector<BakedSection>& sections, Time film_end)
{
    for (std::size_t i = 0; i < sections.size(); ++i) {
        BakedSection& section = sections[i];
        Time const next = i + 1 < sections.size() ? sections[i + 1].target.from : film_end;
        if (!section.end_is_open || section.bars_end_it || next == section.target.to)
            continue;
        JsonValue end = JsonValue::string(print_time_exact(section.target.to));
        end.at = section.json.at;
        auto const from = std::ranges::find(section.json.members, "from", &JsonValue::Member::key);
        section.json.members.insert(from == section.json.members.end() ? from : std::next(from),
                                    {"to", std::move(end), section.json.at});
    }
}

/// Pieces of one part belong together: those that came from one section, and those that an earlier cut made.
std::string family(Lesson const& lesson, BakedSection const& section)
{
    Section const& old = lesson.sections[section.origin];
    if (!old.piece)
        return std::to_string(section.origin);
    return *old.name + '\n' + (old.bars ? old.bars->value.text : "");
}

/// Numbers the pieces of each part from 1 in the order of the new film, so that paper shows the part once.
void number_pieces(std::vector<BakedSection>& sections, Lesson const& lesson)
{
    std::map<std::string, int> sizes;
    for (BakedSection const& section : sections)
        sizes[family(lesson, section)] += section.has_music ? 1 : 0;
    std::map<std::string, int> numbers;
    for (BakedSection& section : sections) {
        if (!section.has_music)
            continue;
        std::string const key = family(lesson, section);
        JsonValue* piece = section.json.find("piece");
        if (piece == nullptr && sizes[key] == 1)
            continue;
        if (piece == nullptr) {
            JsonValue whole = JsonValue::object({{"from_bar", JsonValue::string("1.1"), section.json.at}});
            whole.at = whole.members[0].value.at = section.json.at;
            section.json.set("piece", std::move(whole));
            piece = section.json.find("piece");
        }
        JsonValue number = JsonValue::number(++numbers[key]);
        number.at = piece->at;
        piece->set("number", std::move(number));
    }
}

/// A section that is as another stays so where it still reuses the same; else what it reused is written out.
void keep_what_is_reused(JsonValue& list, std::vector<BakedSection> const& sections, JsonValue const& old_list,
                         Lesson const& lesson)
{
    SameAgain const before(old_list);
    JsonValue const copy = list;
    SameAgain const after(copy);
    std::map<SourcePosition, std::size_t> places;
    for (std::size_t i = 0; i < old_list.items.size(); ++i)
        places[old_list.items[i].at] = i;
    for (std::size_t i = 0; i < list.items.size(); ++i) {
        std::size_t const origin = places.at(lesson.sections[sections[i].origin].at);
        if (list.items[i].find("as") && !after.same(i, before, origin))
            list.items[i] = before.written_out(std::move(list.items[i]), origin);
    }
}

/// What is noted about the film that the times are of: the new one's facts, or none; a note of the author's stays.
void set_facts(JsonValue& document, RetimeOptions const& options)
{
    if (document.find("made_for") == nullptr) {
        if (!options.new_footage)
            return;
        JsonValue empty = JsonValue::object({});
        empty.at = document.at;
        auto const footage = std::ranges::find(document.members, "footage", &JsonValue::Member::key);
        document.members.insert(footage == document.members.end() ? footage : std::next(footage),
                                {"made_for", std::move(empty), document.at});
    }
    JsonValue& facts = *document.find("made_for");
    for (std::string_view const key : {"duration", "rate", "fingerprint"})
        facts.erase(key);
    auto const note = [&](std::string_view key, std::string text) {
        JsonValue value = JsonValue::string(std::move(text));
        value.at = facts.at;
        facts.set(key, std::move(value));
    };
    if (options.new_footage) {
        note("duration", print_time_exact(options.new_footage->duration));
        note("rate", print_frame_rate(options.new_footage->rate));
    }
    if (facts.members.empty())
        document.erase("made_for");
}

void describe_footage(JsonValue& document, RetimeOptions const& options)
{
    set_facts(document, options);
    if (options.footage.empty())
        return;
    JsonValue footage = JsonValue::string(options.footage);
    footage.at = document.at;
    if (JsonValue const* const old = document.find("footage"))
        footage.at = old->at;
    document.set("footage", std::move(footage));
}

/// Says of each cue what became of it.
class Reporter {
public:
    Reporter(Lesson const& lesson, EditMap const& cut) : m_lesson(lesson), m_cut(cut) {}

    void add(CueKind kind, std::string name, int section, Interval before, SourcePosition at, bool played, int bar = 0)
    {
        RetimedCue cue;
        cue.kind = kind;
        cue.name = std::move(name);
        cue.section = *m_lesson.sections[static_cast<std::size_t>(section)].name;
        cue.bar = bar;
        cue.at = at;
        cue.before = before;
        auto const all = m_cut.map(before);
        auto const followed = played ? forward_only(all) : all;
        cue.fate = fate_of(before, followed);
        cue.after = cue.fate == Fate::repeated ? targets(followed) : filled(followed);
        if (followed.size() < all.size())
            cue.why = "bars cannot follow where the picture runs backwards or stands still";
        m_cues.push_back(std::move(cue));
    }

    void add_all(Timeline const& timeline)
    {
        for (SectionSpan const& span : timeline.sections())
            add_section(span);
        for (ChordSpan const& span : timeline.chords())
            add(CueKind::chord, span.name.empty() ? "N.C." : span.name, span.section, {span.in, span.out}, span.at,
                span.played, span.bar);
        for (StrumSpan const& span : timeline.strums())
            add(CueKind::strum, span.name, span.section, {span.in, span.out}, span.at, span.played);
        for (TextSpan const& span : timeline.texts())
            add(CueKind::text, '"' + span.text + '"', span.section, {span.in, span.out}, span.at, false);
    }

    std::vector<RetimedCue> take()
    {
        std::ranges::stable_sort(m_cues, {}, [](RetimedCue const& cue) { return cue.before.from; });
        return std::move(m_cues);
    }

private:
    void add_section(SectionSpan const& span)
    {
        Section const& section = m_lesson.sections[static_cast<std::size_t>(span.section)];
        add(CueKind::section, span.name, span.section, {span.in, span.out}, section.at, false);
        add_count_in(span, section);
    }

    /// A count-in is whole or lost: half of it would count into nothing.
    void add_count_in(SectionSpan const& span, Section const& section)
    {
        CountInSeen const count_in(span, section, m_cut);
        Interval const before = count_in.before();
        if (before.empty())
            return;
        RetimedCue cue{CueKind::count_in, "", span.name, 0, section.at, before, {}, Fate::lost, ""};
        for (SectionPart const& part : parts_of(span, m_cut))
            if (!part.music.empty() && count_in.leads_to(part.music.front()))
                cue.after.push_back({part.music.front().forth(before.from), part.music.front().forth(before.to)});
        cue.fate = cue.after.empty() ? Fate::lost : cue.after.size() == 1 ? Fate::moved : Fate::repeated;
        if (cue.after.empty() && !m_cut.map(before).empty())
            cue.why = "a count-in is shown only where all of it leads to bar 1";
        m_cues.push_back(std::move(cue));
    }

    Lesson const& m_lesson;
    EditMap const& m_cut;
    std::vector<RetimedCue> m_cues;
};

} // namespace

Retimed retime(JsonValue const& document, Lesson const& lesson, Timeline const& timeline, EditMap const& cut,
               RetimeOptions const& options)
{
    Retimed result{document, {}};
    auto sections = bake_all(document, lesson, timeline, cut);
    close_open_ends(sections, std::max(options.new_length, cut.end()));
    number_pieces(sections, lesson);
    JsonValue list = JsonValue::array({});
    for (BakedSection& section : sections)
        list.items.push_back(std::move(section.json));
    if (JsonValue const* const old = document.find("sections")) {
        list.at = old->at;
        keep_what_is_reused(list, sections, *old, lesson);
    }
    result.document.set("sections", std::move(list));
    describe_footage(result.document, options);
    Reporter reporter(lesson, cut);
    reporter.add_all(timeline);
    result.report.cues = reporter.take();
    return result;
}

} // namespace tabard::pipeline
