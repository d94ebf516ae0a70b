#include "pipeline/render/scene_digest.h"

#include <bit>

namespace tabard::pipeline {
namespace {

using namespace overlay;

void add(Digest& digest, std::vector<int> const& values)
{
    digest.add(static_cast<std::int64_t>(values.size()));
    for (int const value : values)
        digest.add(std::int64_t{value});
}

// Every member is taken by a structured binding: one that is added to a layer stops the build here.
void add(Digest& digest, ChordLabel const& label)
{
    auto const& [base, raised, bass] = label;
    digest.add(base).add(raised).add(bass);
}

void add(Digest& digest, std::optional<Shape> const& shape)
{
    digest.add(std::int64_t{shape.has_value()});
    if (!shape)
        return;
    auto const& [frets, fingers] = *shape;
    add(digest, frets);
    add(digest, fingers);
}

void add(Digest& digest, StrumPattern const& pattern)
{
    auto const& [steps, swing] = pattern;
    digest.add(std::bit_cast<std::int64_t>(swing)).add(static_cast<std::int64_t>(steps.size()));
    for (auto const& [motion, muted, accent, finger, plucks] : steps) {
        digest.add(static_cast<std::int64_t>(motion)).add(std::int64_t{muted}).add(std::int64_t{accent});
        digest.add(std::int64_t{finger}).add(static_cast<std::int64_t>(plucks.size()));
        for (auto const& [string, plucking] : plucks)
            digest.add(std::int64_t{string}).add(std::int64_t{plucking});
    }
}

struct ContentDigest {
    Digest& digest;

    void operator()(ChordCard const& card) const
    {
        auto const& [label, shape, staying, anchored, coming, alone] = card;
        add(digest, label);
        add(digest, shape);
        add(digest, staying);
        add(digest, anchored);
        add(digest, coming);
        digest.add(std::int64_t{alone});
    }
    void operator()(NextChordCard const& card) const
    {
        auto const& [label, shape, staying, anchored, beats_left, beats, groups] = card;
        add(digest, label);
        add(digest, shape);
        add(digest, staying);
        add(digest, anchored);
        digest.add(std::int64_t{beats_left}).add(std::int64_t{beats}).add(std::int64_t{groups});
    }
    void operator()(CapoLine const& line) const
    {
        auto const& [fret, shapes_key, sounding_key] = line;
        digest.add(std::int64_t{fret}).add(shapes_key).add(sounding_key);
    }
    void operator()(StrumLane const& lane) const
    {
        auto const& [name, pattern, meter, lit_step, bass_string, next_stroke, silent] = lane;
        digest.add(name);
        add(digest, pattern);
        digest.add(std::int64_t{meter.beats}).add(std::int64_t{meter.unit}).add(std::int64_t{meter.written});
        digest.add(std::int64_t{lit_step.value_or(-1)}).add(std::int64_t{bass_string});
        digest.add(std::int64_t{next_stroke.value_or(-1)}).add(std::int64_t{silent});
    }
    void operator()(BarRibbon const& ribbon) const
    {
        auto const& [bars, pulse, pulses, bars_in_section, crowding, part, groups] = ribbon;
        digest.add(std::int64_t{pulse.value_or(-1)}).add(std::int64_t{pulses}).add(std::int64_t{bars_in_section});
        digest.add(std::int64_t{crowding}).add(part).add(std::int64_t{groups});
        digest.add(static_cast<std::int64_t>(bars.size()));
        for (auto const& [number, beats, chords] : bars) {
            digest.add(std::int64_t{number}).add(std::int64_t{beats});
            digest.add(static_cast<std::int64_t>(chords.size()));
            for (auto const& [label, chord_beats] : chords) {
                add(digest, label);
                digest.add(std::int64_t{chord_beats});
            }
        }
    }
    void operator()(SectionBanner const& banner) const
    {
        auto const& [title, subtitle] = banner;
        digest.add(title).add(subtitle);
    }
    void operator()(CountIn const& count) const
    {
        auto const& [beat, beats, groups] = count;
        digest.add(std::int64_t{beat}).add(std::int64_t{beats}).add(std::int64_t{groups});
    }
    void operator()(TextCard const& card) const
    {
        auto const& [text] = card;
        digest.add(text);
    }
};

} // namespace

void add(Digest& digest, Scene const& scene)
{
    digest.add(static_cast<std::int64_t>(scene.layers.size()));
    for (auto const& [content, level, corner] : scene.layers) {
        digest.add(static_cast<std::int64_t>(content.index())).add(std::int64_t{level});
        digest.add(corner ? static_cast<std::int64_t>(*corner) : std::int64_t{-1});
        std::visit(ContentDigest{digest}, content);
    }
}

} // namespace tabard::pipeline
