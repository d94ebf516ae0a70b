#include "pipeline/render/group_key.h"

#include "pipeline/media/digest.h"
#include "pipeline/media/splice/group_encoder.h"
#include "pipeline/render/scene_digest.h"

#include <bit>

namespace tabard::pipeline {
namespace {

// Raise it when the same input is rendered in another way.
constexpr std::int64_t kRenderVersion = 9;

void add(Digest& digest, overlay::Colour colour)
{
    digest.add(std::int64_t{colour.red} << 24 | std::int64_t{colour.green} << 16 | std::int64_t{colour.blue} << 8 |
               std::int64_t{colour.alpha});
}

void add(Digest& digest, Look const& look)
{
    auto const& [theme, stage] = look;
    auto const& [name, font, radius, card, edge, ink, soft_ink, line, string, dot, on_dot, accent, on_accent, capo,
                 on_capo] = theme;
    digest.add(font).add(std::bit_cast<std::int64_t>(radius));
    for (overlay::Colour const colour :
         {card, edge, ink, soft_ink, line, string, dot, on_dot, accent, on_accent, capo, on_capo})
        add(digest, colour);
    digest.add(std::int64_t{stage.strings})
        .add(std::int64_t{stage.left_handed})
        .add(static_cast<std::int64_t>(stage.corner))
        .add(std::int64_t{stage.capo});
}

void add(Digest& digest, std::vector<std::uint16_t> const& plane) { digest.add(std::as_bytes(std::span(plane))); }

// Letters, figures and signs as they come out: catches fonts, drawing libraries, size, turning and colour in one.
void add_sample(Digest& digest, Compositor& compositor)
{
    overlay::Scene const scene{{{overlay::TextCard{"AaBbGg \u266f\u266d 0123456789 \u2191\u2193"}}}};
    SceneOverlay const sample = compositor.prepare(scene);
    for (SceneOverlay::Layer const& layer : sample.layers()) {
        overlay::RectPx const at = layer.planes->luma_at;
        digest.add(std::int64_t{at.x}).add(std::int64_t{at.y}).add(std::int64_t{at.width}).add(std::int64_t{at.height});
        add(digest, layer.planes->luma);
        add(digest, layer.planes->luma_alpha);
        add(digest, layer.planes->blue);
        add(digest, layer.planes->red);
    }
}

void add(Digest& digest, EncoderSettings const& settings)
{
    digest.add(static_cast<std::int64_t>(settings.codec)).add(settings.preset.value_or(""));
    digest.add(std::int64_t{settings.crf.value_or(-1)}).add(encoder_identity());
}

} // namespace

GroupKeys::GroupKeys(AvcConfiguration const& configuration, EncoderSettings const& settings, Look const& look,
                     VideoTrack const& video, Compositor& compositor)
{
    auto const digest_of = [](auto const& what) {
        Digest digest;
        what(digest);
        return digest.hex();
    };
    auto const footage = [&](Digest& digest) {
        digest.add(kRenderVersion)
            .add(configuration.bytes())
            .add(std::int64_t{video.clock.num})
            .add(std::int64_t{video.clock.den});
    };
    auto const encoder = [&](Digest& digest) { add(digest, settings); };
    auto const shown = [&](Digest& digest) { add(digest, look); };
    auto const drawing = [&](Digest& digest) { add_sample(digest, compositor); };
    m_parts.footage = digest_of(footage);
    m_parts.encoder = digest_of(encoder);
    m_parts.look = digest_of(shown);
    m_parts.drawing = digest_of(drawing);
    m_parts.common = digest_of([&](Digest& digest) {
        digest.add(m_parts.footage).add(m_parts.encoder).add(m_parts.look).add(m_parts.drawing);
    });
}

std::string const& GroupKeys::digest_of(SceneRun const& run)
{
    auto const [place, is_new] = m_scenes.try_emplace(&run);
    if (is_new) {
        Digest digest;
        add(digest, run.scene);
        place->second = digest.hex();
    }
    return place->second;
}

std::string GroupKeys::key(SpliceSource const& source, std::size_t group, SceneRuns const& runs)
{
    GroupPlace const& place = source.groups[group];
    std::int64_t const begin = source.decoded[place.first_picture];
    Digest digest;
    digest.add(m_parts.common).add(place.digest);
    for (std::size_t i = place.first_picture; i < place.first_picture + place.pictures; ++i) {
        digest.add(source.shown[i] - begin).add(source.decoded[i] - begin).add(source.durations[i]);
        SceneRun const* const run = runs.at(source.shown_at(i));
        digest.add(run ? std::string_view(digest_of(*run)) : std::string_view("nothing"));
    }
    return digest.hex();
}

std::string quality_key(SpliceSource const& source, EncoderSettings const& settings)
{
    Digest digest;
    digest.add(kRenderVersion).add("quality").add(source.configuration.bytes());
    for (std::int64_t const shown : source.shown)
        digest.add(shown);
    for (GroupPlace const& group : source.groups)
        digest.add(group.bytes);
    add(digest, settings);
    return digest.hex();
}

} // namespace tabard::pipeline
