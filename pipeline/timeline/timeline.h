#pragma once
#include "overlay/drawing/scene.h"
#include "pipeline/cues/lesson.h"
#include "pipeline/timeline/media_facts.h"
#include "pipeline/timeline/tempo_map.h"

#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace tabard::pipeline {

/// A chord on screen over [in, out).
struct ChordSpan {
    Time in{0};
    Time out{0};
    std::string name; ///< as written; empty: no chord sounds (N.C.)
    std::optional<overlay::Shape> shape;
    std::optional<Level> level; ///< where the author asked for one
    int section = 0;            ///< index into Lesson::sections
    bool played = false;        ///< of a chart, not of a talk
    int bar = 0;                ///< where it begins, from 1; 0 in a talk
    int beats = 0;              ///< that it lasts, as the meter is written; 0 in a talk
    SourcePosition at;
    friend bool operator==(ChordSpan const&, ChordSpan const&) = default;
};

/// A strum pattern on screen.
struct StrumSpan {
    Time in{0};
    Time out{0};
    std::string name;
    int section = 0;
    bool played = false;
    SourcePosition at;
    friend bool operator==(StrumSpan const&, StrumSpan const&) = default;
};

/// A text of the author on screen.
struct TextSpan {
    Time in{0};
    Time out{0};
    std::string text;
    int section = 0;
    SourcePosition at;
    friend bool operator==(TextSpan const&, TextSpan const&) = default;
};

/// A part of the lesson. `bars_in` and `bars_out` bound what is played of its chart inside it (equal: nothing).
struct SectionSpan {
    Time in{0};
    Time out{0};
    std::string name;
    int section = 0;
    Time bars_in{0};
    Time bars_out{0};
    std::optional<TempoMap> map; ///< of its bars, for those who go on from times to bars: retime, checks
    Time shown_from{0};          ///< when its overlays may begin: with its count-in, else `in`
    overlay::Corner corner = overlay::Corner::top_left; ///< of its overlays: its own placement, or the lesson's
    SourcePosition at;
};

struct ResolveOptions {
    Level level = Level::full;
};

/// A lesson laid out in time: what is shown when, as spans [in, out) of film time, sorted by `in`.
class Timeline {
public:
    /// Never fails: a section with bars whose time the file does not say shows none of them. Where two cues of one kind
    /// overlap, the later one is shown from its start on.
    static Timeline resolve(Lesson const& lesson, MediaFacts const& facts, ResolveOptions const& options = {});

    Timeline(Timeline&&) noexcept;
    Timeline& operator=(Timeline&&) noexcept;
    ~Timeline();

    std::vector<SectionSpan> const& sections() const;
    std::vector<ChordSpan> const& chords() const;
    std::vector<StrumSpan> const& strums() const;
    std::vector<TextSpan> const& texts() const;
    MediaFacts const& facts() const;

    /// What is on screen at an instant. Constant between two neighbours of change_instants().
    overlay::Scene scene_at(Time time) const;
    /// Every instant at which the scene may change, rising, without doubles. Before the first and from the last on the
    /// scene is empty.
    std::vector<Time> const& change_instants() const;

private:
    struct Impl;
    explicit Timeline(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> m_impl;
};

} // namespace tabard::pipeline
