#include "pipeline/listen/hearing.h"

#include <algorithm>
#include <utility>

namespace tabard::pipeline {

namespace {

constexpr std::size_t kEnough = 1 << 16; // samples, three seconds, for which looking is worth the copying

/// Silent is what lies 42 dB below the loud tenth of the recording, or below 16-bit dither.
std::vector<std::uint8_t> silent_frames(std::vector<float> levels)
{
    auto const plain = levels;
    auto const loud = levels.begin() + static_cast<std::ptrdiff_t>(levels.size() * 9 / 10);
    std::nth_element(levels.begin(), loud, levels.end());
    float const threshold = std::max(*loud / 126, 1e-5F);
    std::vector<std::uint8_t> silent(plain.size());
    std::ranges::transform(plain, silent.begin(), [=](float level) { return level < threshold ? 1 : 0; });
    return silent;
}

} // namespace

void Listener::add(std::span<float const> block)
{
    m_rises.add(block);
    m_recent.insert(m_recent.end(), block.begin(), block.end());
    if (m_recent.size() >= kEnough)
        look(false);
}

void Listener::look(bool ended)
{
    std::size_t const total = m_first + m_recent.size();
    auto const each = [&](Frames& frames, auto& meter) {
        for (; frames.next + (ended ? 0 : frames.reach) <= total; frames.next += frames.hop)
            meter.add_frame(m_recent, static_cast<std::ptrdiff_t>(frames.next - m_first));
    };
    each(m_peak_frames, m_peaks);
    each(m_onset_frames, m_onsets);
    std::size_t const needed = std::min(m_peak_frames.next - std::min(m_peak_frames.next, m_peak_frames.reach),
                                        m_onset_frames.next - std::min(m_onset_frames.next, m_onset_frames.reach));
    std::size_t const over = std::min(needed, total) - std::min(needed, m_first);
    m_recent.erase(m_recent.begin(), m_recent.begin() + static_cast<std::ptrdiff_t>(over));
    m_first += over;
}

Hearing Listener::finish()
{
    look(true);
    Hearing heard;
    heard.samples = m_first + m_recent.size();
    auto peaks = m_peaks.finish();
    heard.tuning = estimate_tuning(peaks);
    heard.chroma = fold_to_chroma(peaks, heard.tuning);
    heard.silent = silent_frames(peaks.levels);
    heard.levels = std::move(peaks.levels);
    heard.novelty = m_onsets.finish();
    heard.rises = m_rises.finish();
    heard.bass_novelty = m_onsets.finish_bass();
    return heard;
}

Hearing hear(std::span<float const> sound)
{
    Listener listener;
    for (std::size_t at = 0; at < sound.size(); at += kEnough)
        listener.add(sound.subspan(at, std::min(kEnough, sound.size() - at)));
    return listener.finish();
}

} // namespace tabard::pipeline
