#pragma once
#include "pipeline/media/splice/splice_source.h"
#include "pipeline/media/write/encoder_settings.h"
#include "pipeline/render/compositor.h"
#include "pipeline/render/scene_runs.h"

#include <map>
#include <string>

namespace tabard::pipeline {

/// Digests of what all groups of a film have in common. `common` stands for all of it: a cache that was filled under
/// another one has none of them. The others say where two machines differ.
struct KeyParts {
    std::string common;
    std::string footage; ///< the film's headers
    std::string encoder; ///< its version and settings, the found quality too
    std::string look;    ///< theme, instrument, hand, corner
    std::string drawing; ///< a sample as it was drawn: fonts, drawing libraries
    friend bool operator==(KeyParts const&, KeyParts const&) = default;
};

/// The names of encoded groups in a cache: digests of everything that makes a group what it is, namely its coded
/// pictures and their times, the scene on each, how scenes look (theme, fonts, size, colours), the encoder and its
/// settings.
class GroupKeys {
public:
    /// `settings.crf` is decided. Draws a sample, so that other fonts or another drawing library make other keys.
    GroupKeys(AvcConfiguration const& configuration, EncoderSettings const& settings, Look const& look,
              VideoTrack const& video, Compositor& compositor);

    /// Of the film's group `group`.
    std::string key(SpliceSource const& source, std::size_t group, SceneRuns const& runs);
    KeyParts const& parts() const { return m_parts; }

private:
    std::string const& digest_of(SceneRun const& run);

    KeyParts m_parts;
    std::map<SceneRun const*, std::string> m_scenes;
};

/// The name of the quality that was found for a film.
std::string quality_key(SpliceSource const& source, EncoderSettings const& settings);

} // namespace tabard::pipeline
