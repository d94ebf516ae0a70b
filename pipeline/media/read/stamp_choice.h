#pragma once
#include <cstdint>
#include <optional>

namespace tabard::pipeline {

/// Some files say when a picture is decoded where they should say when it is shown. So its time is its presentation
/// stamp for as long as these go back no more often than the decoding stamps do, and then those. That is libavcodec's
/// rule, too, but for single stamps that are far away: one broken stamp would make all pictures after it late.
class StampChoice {
public:
    /// `far`: ticks by which a stamp that goes back is broken and tells nothing of the others.
    explicit StampChoice(std::int64_t far) : m_far(far) {}

    /// Of the next picture, in the order in which they are shown.
    std::optional<std::int64_t> choose(std::optional<std::int64_t> shown, std::optional<std::int64_t> decoded)
    {
        note(m_decoded, decoded ? decoded : shown);
        note(m_shown, shown ? shown : decoded);
        return shown && (!decoded || m_shown.faults <= m_decoded.faults) ? shown : decoded;
    }

private:
    struct Stamps {
        std::optional<std::int64_t> last;
        int faults = 0;
    };
    void note(Stamps& stamps, std::optional<std::int64_t> stamp) const
    {
        if (stamp && stamps.last && *stamp <= *stamps.last && *stamps.last - *stamp < m_far)
            ++stamps.faults;
        if (stamp)
            stamps.last = stamp;
    }

    std::int64_t m_far;
    Stamps m_shown;
    Stamps m_decoded;
};

} // namespace tabard::pipeline
