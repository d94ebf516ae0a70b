#pragma once
#include "pipeline/media/coded_group.h"
#include "pipeline/media/splice/splice_source.h"
#include "pipeline/media/write/encoder_settings.h"
#include "pipeline/render/compositor.h"
#include "pipeline/render/scene_runs.h"

#include <map>
#include <string>

namespace tabard::pipeline {

/// The names of encoded groups in a cache: digests of everything that makes a group what it is, namely its coded
/// pictures and their times, the scene on each, how scenes look (theme, fonts, size, colours), the encoder and its
/// settings.
class GroupKeys {
public:
    /// `settings.crf` is decided. Draws a sample, so that other fonts or another drawing library make other keys.
    GroupKeys(AvcConfiguration const& configuration, EncoderSettings const& settings, Look const& look,
              VideoTrack const& video, Compositor& compositor);

    std::string key(CodedGroup const& group, SceneRuns const& runs);
    /// What all keys have in common.
    std::string const& common() const { return m_common; }

private:
    std::string const& digest_of(SceneRun const& run);

    std::string m_common;
    Ratio m_clock;
    std::map<SceneRun const*, std::string> m_scenes;
};

/// The name of the quality that was found for a film.
std::string quality_key(SpliceSource const& source, EncoderSettings const& settings);

} // namespace tabard::pipeline
