#include "pipeline/timeline/timeline.h"

#include "overlay/music/capo.h"
#include "overlay/music/hand/movement.h"
#include "overlay/music/names/chord_name.h"
#include "pipeline/timeline/placement.h"
#include "pipeline/timeline/slot.h"
#include "pipeline/timeline/spans.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

namespace tabard::pipeline {
namespace {

constexpr Time kBannerLength{3 * kFlicksPerSecond};
constexpr int kBarsInRibbon = 4;

/// The layers, back to front.
enum Layers { capo, ribbon, strum, chord, next_chord, text, banner, count_in, layer_count };

std::vector<int> staying_fingers(std::optional<overlay::Shape> const& from, std::optional<overlay::Shape> const& to)
{
    return from && to ? overlay::strings_that_stay(*from, *to) : std::vector<int>{};
}

bool plucks_bass(overlay::StrumPattern const& pattern)
{
    return std::ranges::any_of(pattern.steps, [](overlay::StrumStep const& step) {
        return std::ranges::any_of(step.plucks, [](overlay::Pluck const& pluck) { return pluck.string == 0; });
    });
}

/// Where step `step` of a bar begins, in ticks: steps are even, and the second half of a beat is moved by the swing.
std::int64_t step_offset(std::size_t step, overlay::StrumPattern const& pattern, overlay::Meter meter)
{
    std::int64_t const even =
        static_cast<std::int64_t>(step) * bar_ticks(meter) / static_cast<std::int64_t>(pattern.steps.size());
    std::int64_t const half = kTicksPerBeat / 2;
    std::int64_t const in_beat = even % kTicksPerBeat;
    auto const swung = static_cast<std::int64_t>(std::lround(pattern.swing * static_cast<double>(kTicksPerBeat)));
    std::int64_t const moved =
        in_beat < half ? in_beat * swung / half : swung + (in_beat - half) * (kTicksPerBeat - swung) / half;
    return even - in_beat + moved;
}

} // namespace

struct Timeline::Impl {
    Lesson lesson;
    MediaFacts facts;
    Spans spans;
    overlay::CapoLine capo_line;
    std::vector<std::size_t> span_of;      ///< section of the lesson to its span
    std::vector<std::size_t> first_played; ///< section span to the first of spans.played in it, or their number
    std::vector<std::size_t> next_of;      ///< chord to the chord that is announced with it; itself where none is
    std::array<Slot, layer_count> slots;
    std::vector<Time> instants;

    Section const& section_of(SectionSpan const& span) const
    {
        return lesson.sections[static_cast<std::size_t>(span.section)];
    }
    void index_spans();
    void find_next_chords();
    std::vector<int> anchored_strings(ChordSpan const& span) const;
    std::string subtitle(std::size_t section) const;
    std::vector<SlotPiece> chord_pieces() const;
    std::vector<SlotPiece> next_pieces() const;
    std::vector<SlotPiece> count_in_pieces() const;
    std::vector<SlotPiece> strum_pieces() const;
    void add_strum_steps(std::vector<SlotPiece>& pieces, std::size_t section) const;
    std::vector<SlotPiece> ribbon_pieces() const;
    std::vector<SlotPiece> banner_pieces() const;
    std::vector<SlotPiece> text_pieces() const;
    std::vector<SlotPiece> capo_pieces() const;
    Time count_in_start(SectionSpan const& span) const;
    int pulses_counted_in(SectionSpan const& span) const;
    SectionSpan const& span_around(int layer, SlotPiece const& piece) const;
    std::optional<overlay::Corner> corner(int layer, SlotPiece const& piece) const;
    overlay::LayerContent content(int layer, SlotPiece const& piece) const;
    overlay::BarRibbon bar_ribbon(SlotPiece const& piece) const;
};

void Timeline::Impl::index_spans()
{
    span_of.resize(lesson.sections.size());
    for (std::size_t i = 0; i < spans.sections.size(); ++i)
        span_of[static_cast<std::size_t>(spans.sections[i].section)] = i;
    first_played.resize(spans.sections.size(), spans.played.size());
    for (std::size_t i = spans.played.size(); i-- > 0;)
        first_played[spans.played[i].section] = i;
    for (SectionSpan& span : spans.sections)
        span.shown_from = std::min(span.in, count_in_start(span));
}

void Timeline::Impl::find_next_chords()
{
    next_of.resize(spans.chords.size());
    for (std::size_t i = 0; i < next_of.size(); ++i)
        next_of[i] = i;
    for (std::size_t i = 0; i + 1 < spans.played.size(); ++i) {
        std::size_t const here = spans.played[i].chord;
        std::size_t const there = spans.played[i + 1].chord;
        if (spans.chords[here].out == spans.chords[there].in && spans.chords[here].name != spans.chords[there].name)
            next_of[here] = there;
    }
}

std::vector<int> Timeline::Impl::anchored_strings(ChordSpan const& span) const
{
    std::vector<int> strings;
    if (span.played && span.shape)
        for (overlay::Hold const& hold : spans.anchors[span_of[static_cast<std::size_t>(span.section)]])
            strings.push_back(hold.string);
    return strings;
}

std::string Timeline::Impl::subtitle(std::size_t section) const
{
    if (section == 0 && !lesson.title->empty())
        return *lesson.title;
    std::string words = overlay::anchor_text(spans.anchors[section], lesson.tuning->strings());
    return words.empty() ? words : "K" + words.substr(1);
}

std::vector<SlotPiece> Timeline::Impl::chord_pieces() const
{
    std::vector<SlotPiece> pieces;
    for (std::size_t i = 0; i < spans.chords.size(); ++i)
        pieces.push_back({spans.chords[i].in, spans.chords[i].out, static_cast<int>(i), 0, 0});
    return pieces;
}

/// The next chord, a piece for each pulse that is left; `what` is the next chord, `detail` the one before it or -1.
std::vector<SlotPiece> Timeline::Impl::next_pieces() const
{
    std::vector<SlotPiece> pieces;
    for (PlayedChord const& played : spans.played) {
        std::size_t const next = next_of[played.chord];
        if (next == played.chord)
            continue;
        ChordSpan const& here = spans.chords[played.chord];
        SectionSpan const& section = spans.sections[played.section];
        std::int64_t const pulse = pulse_ticks(section.map->meter());
        Time out = here.out;
        for (int left = 1; out > here.in; ++left) {
            Time const in = std::max(here.in, section.map->time_at(played.to - left * pulse));
            pieces.push_back({in, out, static_cast<int>(next), static_cast<int>(played.chord), left});
            out = in;
        }
    }
    for (SlotPiece const& counted : count_in_pieces()) {
        SectionSpan const& section = spans.sections[static_cast<std::size_t>(counted.what)];
        PlayedChord const& first = spans.played[first_played[static_cast<std::size_t>(counted.what)]];
        int const left = pulses_counted_in(section) - counted.detail;
        pieces.push_back({counted.in, counted.out, static_cast<int>(first.chord), -1, left});
    }
    return pieces;
}

int Timeline::Impl::pulses_counted_in(SectionSpan const& span) const
{
    Section const& section = section_of(span);
    bool const begins = !section.piece || section.piece->from_bar == BarPosition{};
    return span.map && begins && span.bars_in < span.bars_out ? section.count_in * section.meter->pulses() : 0;
}

Time Timeline::Impl::count_in_start(SectionSpan const& span) const
{
    int const pulses = pulses_counted_in(span);
    return pulses == 0 ? span.in : span.map->time_at(-pulses * pulse_ticks(span.map->meter()));
}

/// `what` is the section, `detail` the pulse from 0, `count` the pulses of a bar.
std::vector<SlotPiece> Timeline::Impl::count_in_pieces() const
{
    std::vector<SlotPiece> pieces;
    for (std::size_t i = 0; i < spans.sections.size(); ++i) {
        SectionSpan const& span = spans.sections[i];
        int const pulses = pulses_counted_in(span);
        for (int pulse = 0; pulse < pulses; ++pulse) {
            std::int64_t const length = pulse_ticks(span.map->meter());
            pieces.push_back({span.map->time_at((pulse - pulses) * length),
                              span.map->time_at((pulse + 1 - pulses) * length), static_cast<int>(i), pulse,
                              span.map->meter().pulses()});
        }
    }
    return pieces;
}

/// `what` is the strum span, `detail` the lit step or -1, `count` the bass string.
std::vector<SlotPiece> Timeline::Impl::strum_pieces() const
{
    std::vector<SlotPiece> pieces;
    for (std::size_t i = 0; i < spans.strums.size(); ++i) {
        if (spans.strums[i].played)
            add_strum_steps(pieces, i);
        else
            pieces.push_back({spans.strums[i].in, spans.strums[i].out, static_cast<int>(i), -1, 0});
    }
    return pieces;
}

void Timeline::Impl::add_strum_steps(std::vector<SlotPiece>& pieces, std::size_t index) const
{
    StrumSpan const& span = spans.strums[index];
    std::size_t const section_index = span_of[static_cast<std::size_t>(span.section)];
    SectionSpan const& section = spans.sections[section_index];
    overlay::Meter const meter = section.map->meter();
    overlay::StrumPattern const& pattern = lesson.find_strum(span.name)->pattern;
    bool const bass = plucks_bass(pattern);
    std::size_t played = first_played[section_index];
    int const bars = section_of(section).bars->value.bars();
    for (int bar = 0; bar < bars; ++bar) {
        for (std::size_t step = 0; step < pattern.steps.size(); ++step) {
            std::int64_t const from = bar * bar_ticks(meter) + step_offset(step, pattern, meter);
            std::int64_t const to = step + 1 == pattern.steps.size()
                                        ? (bar + 1) * bar_ticks(meter)
                                        : bar * bar_ticks(meter) + step_offset(step + 1, pattern, meter);
            Time const in = std::max(span.in, section.map->time_at(from));
            Time const out = std::min(span.out, section.map->time_at(to));
            if (out <= in)
                continue;
            while (spans.played[played].to <= from && played + 1 < spans.played.size() &&
                   spans.played[played + 1].section == section_index)
                ++played;
            auto const& shape = spans.chords[spans.played[played].chord].shape;
            pieces.push_back({in, out, static_cast<int>(index), static_cast<int>(step),
                              bass && shape ? bass_string(*shape, *lesson.tuning) : 0});
        }
    }
}

/// `what` is the section, `detail` the bar from 1, `count` the beat in it from 0.
std::vector<SlotPiece> Timeline::Impl::ribbon_pieces() const
{
    std::vector<SlotPiece> pieces;
    for (std::size_t i = 0; i < spans.sections.size(); ++i) {
        SectionSpan const& span = spans.sections[i];
        if (span.bars_in == span.bars_out)
            continue;
        int const beats = span.map->meter().beats;
        int const bars = section_of(span).bars->value.bars();
        for (int beat = 0; beat < bars * beats; ++beat) {
            Time const in = std::max(span.bars_in, span.map->time_at(beat * kTicksPerBeat));
            Time const out = std::min(span.bars_out, span.map->time_at((beat + 1) * kTicksPerBeat));
            if (out > in)
                pieces.push_back({in, out, static_cast<int>(i), beat / beats + 1, beat % beats});
        }
    }
    return pieces;
}

/// A part is announced as it begins, or with its count-in. A later piece of a part is not announced again.
std::vector<SlotPiece> Timeline::Impl::banner_pieces() const
{
    std::vector<SlotPiece> pieces;
    for (std::size_t i = 0; i < spans.sections.size(); ++i) {
        SectionSpan const& span = spans.sections[i];
        Section const& section = section_of(span);
        if (span.name.empty() || (section.piece && section.piece->number > 1))
            continue;
        Time const in = count_in_start(span);
        pieces.push_back({in, std::min(in + kBannerLength, span.out), static_cast<int>(i), 0, 0});
    }
    return pieces;
}

std::vector<SlotPiece> Timeline::Impl::text_pieces() const
{
    std::vector<SlotPiece> pieces;
    for (std::size_t i = 0; i < spans.texts.size(); ++i)
        pieces.push_back({spans.texts[i].in, spans.texts[i].out, static_cast<int>(i), 0, 0});
    return pieces;
}

/// While chords are shown or played in a section, with the pauses between them. `what` is the section.
std::vector<SlotPiece> Timeline::Impl::capo_pieces() const
{
    std::vector<SlotPiece> pieces;
    if (*lesson.capo == 0)
        return pieces;
    std::map<int, SlotPiece> by_section;
    for (ChordSpan const& span : spans.chords) {
        auto const [found, is_new] = by_section.try_emplace(span.section, SlotPiece{span.in, span.out, 0, 0, 0});
        found->second.out = std::max(found->second.out, span.out);
    }
    for (auto& [section, piece] : by_section) {
        piece.what = static_cast<int>(span_of[static_cast<std::size_t>(section)]);
        SectionSpan const& span = spans.sections[static_cast<std::size_t>(piece.what)];
        if (pulses_counted_in(span) > 0)
            piece.in = std::min(piece.in, count_in_start(span));
        pieces.push_back(piece);
    }
    return pieces;
}

overlay::BarRibbon Timeline::Impl::bar_ribbon(SlotPiece const& piece) const
{
    Chart const& chart = section_of(spans.sections[static_cast<std::size_t>(piece.what)]).bars->value;
    overlay::BarRibbon ribbon;
    ribbon.bars_in_section = chart.bars();
    ribbon.current = (piece.detail - 1) % kBarsInRibbon;
    ribbon.beat = piece.count;
    int const first = piece.detail - ribbon.current;
    for (int bar = first; bar < first + kBarsInRibbon && bar <= chart.bars(); ++bar) {
        overlay::RibbonBar entry{bar, chart.meter.beats, chart.bar(bar).simile, {}};
        for (ChartChord const& chord_of_bar : chart.bar(bar).chords)
            entry.chords.push_back(
                {overlay::label_of(chord_of_bar.name.empty() ? "N.C." : chord_of_bar.name), chord_of_bar.beats});
        ribbon.bars.push_back(std::move(entry));
    }
    return ribbon;
}

overlay::LayerContent Timeline::Impl::content(int layer, SlotPiece const& piece) const
{
    auto const what = static_cast<std::size_t>(piece.what);
    auto const label = [&](ChordSpan const& span) { return overlay::label_of(span.name.empty() ? "N.C." : span.name); };
    switch (layer) {
    case capo:
        return capo_line;
    case ribbon:
        return bar_ribbon(piece);
    case strum: {
        StrumSpan const& span = spans.strums[what];
        std::optional<int> const lit = piece.detail < 0 ? std::nullopt : std::optional{piece.detail};
        return overlay::StrumLane{span.name, lesson.find_strum(span.name)->pattern,
                                  *lesson.sections[static_cast<std::size_t>(span.section)].meter, lit, piece.count};
    }
    case chord: {
        ChordSpan const& span = spans.chords[what];
        ChordSpan const& next = spans.chords[next_of[what]];
        return overlay::ChordCard{label(span), span.shape,
                                  &next == &span ? std::vector<int>{} : staying_fingers(span.shape, next.shape),
                                  anchored_strings(span)};
    }
    case next_chord: {
        ChordSpan const& span = spans.chords[what];
        auto const before =
            piece.detail < 0 ? std::nullopt : spans.chords[static_cast<std::size_t>(piece.detail)].shape;
        return overlay::NextChordCard{label(span), span.shape, staying_fingers(before, span.shape),
                                      anchored_strings(span), piece.count};
    }
    case text:
        return overlay::TextCard{spans.texts[what].text};
    case banner:
        return overlay::SectionBanner{spans.sections[what].name, subtitle(what)};
    default:
        return overlay::CountIn{piece.detail % piece.count + 1, piece.count};
    }
}

/// The section that a piece belongs to. A next chord stays beside the chord that it follows.
SectionSpan const& Timeline::Impl::span_around(int layer, SlotPiece const& piece) const
{
    auto const what = static_cast<std::size_t>(piece.what);
    auto const span_at = [this](int section) -> SectionSpan const& {
        return spans.sections[span_of[static_cast<std::size_t>(section)]];
    };
    switch (layer) {
    case strum:
        return span_at(spans.strums[what].section);
    case chord:
        return span_at(spans.chords[what].section);
    case next_chord:
        return span_at(spans.chords[piece.detail < 0 ? what : static_cast<std::size_t>(piece.detail)].section);
    case text:
        return span_at(spans.texts[what].section);
    default:
        return spans.sections[what];
    }
}

/// None where it is the lesson's, so that the scenes of such sections are equal.
std::optional<overlay::Corner> Timeline::Impl::corner(int layer, SlotPiece const& piece) const
{
    auto const corner = span_around(layer, piece).corner;
    return corner == corner_of(*lesson.placement) ? std::nullopt : std::optional{corner};
}

namespace {

overlay::CapoLine make_capo_line(Lesson const& lesson)
{
    overlay::CapoLine line{*lesson.capo, "", ""};
    if (auto const sounding = overlay::Key::parse(*lesson.key)) {
        line.sounding_key = sounding->pretty();
        line.shapes_key = overlay::shapes_key(*sounding, *lesson.capo).pretty();
    }
    return line;
}

} // namespace

Timeline Timeline::resolve(Lesson const& lesson, MediaFacts const& facts, ResolveOptions const& options)
{
    auto impl = std::make_unique<Impl>();
    impl->lesson = lesson;
    impl->facts = facts;
    impl->spans = resolve_spans(lesson, facts, options.level);
    impl->capo_line = make_capo_line(lesson);
    impl->index_spans();
    impl->find_next_chords();
    impl->slots = {Slot(impl->capo_pieces()),   Slot(impl->ribbon_pieces()),  Slot(impl->strum_pieces()),
                   Slot(impl->chord_pieces()),  Slot(impl->next_pieces()),    Slot(impl->text_pieces()),
                   Slot(impl->banner_pieces()), Slot(impl->count_in_pieces())};
    for (Slot const& slot : impl->slots)
        slot.add_change_instants(impl->instants);
    std::ranges::sort(impl->instants);
    // Not std::ranges::unique: clang 14 cannot compile libstdc++ 12's subrange.
    impl->instants.erase(std::unique(impl->instants.begin(), impl->instants.end()), impl->instants.end());
    return Timeline(std::move(impl));
}

Timeline::Timeline(std::unique_ptr<Impl> impl) : m_impl(std::move(impl)) {}
Timeline::Timeline(Timeline&&) noexcept = default;
Timeline& Timeline::operator=(Timeline&&) noexcept = default;
Timeline::~Timeline() = default;

std::vector<SectionSpan> const& Timeline::sections() const { return m_impl->spans.sections; }
std::vector<ChordSpan> const& Timeline::chords() const { return m_impl->spans.chords; }
std::vector<StrumSpan> const& Timeline::strums() const { return m_impl->spans.strums; }
std::vector<TextSpan> const& Timeline::texts() const { return m_impl->spans.texts; }
MediaFacts const& Timeline::facts() const { return m_impl->facts; }
std::vector<Time> const& Timeline::change_instants() const { return m_impl->instants; }

int Timeline::layers_at(Time time) const
{
    return static_cast<int>(
        std::ranges::count_if(m_impl->slots, [&](Slot const& slot) { return slot.at(time) != nullptr; }));
}

overlay::Scene Timeline::scene_at(Time time) const
{
    overlay::Scene scene;
    for (std::size_t layer = 0; layer < m_impl->slots.size(); ++layer) {
        Slot const& slot = m_impl->slots[layer];
        if (SlotPiece const* piece = slot.at(time))
            scene.layers.push_back({m_impl->content(static_cast<int>(layer), *piece), slot.level_at(time),
                                    m_impl->corner(static_cast<int>(layer), *piece)});
    }
    return scene;
}

} // namespace tabard::pipeline
