#pragma once
#include "pipeline/check/picture/contrast.h"
#include "pipeline/check/picture/flash_meter.h"
#include "pipeline/check/picture/occlusion.h"
#include "pipeline/check/picture/survey.h"

#include <map>
#include <optional>
#include <vector>

namespace tabard::pipeline {

/// The overlays' own flashing: what changes in the picture where they change, over the footage as last seen.
class FilmWatch {
public:
    FilmWatch(Timeline const& timeline, OcclusionPainter painter) : m_timeline(timeline), m_painter(std::move(painter))
    {
    }

    /// The footage looks like this from `time` on.
    void footage(Time time, RgbGrid const& shown)
    {
        changes_before(time);
        m_footage = shown;
    }
    std::vector<FlashSpan> finish()
    {
        changes_before(Time::max());
        return m_meter.spans();
    }

private:
    void changes_before(Time time)
    {
        auto const& instants = m_timeline.change_instants();
        for (; m_next < instants.size() && instants[m_next] < time; ++m_next)
            m_meter.add(instants[m_next],
                        covered(m_footage, m_painter.occlusion(m_timeline.scene_at(instants[m_next]))));
    }

    Timeline const& m_timeline;
    OcclusionPainter m_painter;
    FlashMeter m_meter;
    RgbGrid m_footage{};
    std::size_t m_next = 0;
};

/// How well text can be read, over the footage as last seen.
class ContrastWatch {
public:
    ContrastWatch(Timeline const& timeline, ContrastMeter meter) : m_timeline(timeline), m_meter(std::move(meter)) {}

    /// The footage looks like this from `time` on.
    void footage(Time time, Grounds const& seen)
    {
        changes_before(time);
        m_footage = seen;
        look_at(time);
    }
    std::vector<TextContrast> finish()
    {
        changes_before(Time::max());
        std::vector<TextContrast> result;
        for (auto const& [section, contrast] : m_lowest)
            result.push_back(contrast);
        return result;
    }

private:
    void changes_before(Time time)
    {
        auto const& instants = m_timeline.change_instants();
        for (; m_next < instants.size() && instants[m_next] < time; ++m_next)
            look_at(instants[m_next]);
    }
    void look_at(Time time)
    {
        auto const& sections = m_timeline.sections();
        auto const section = std::find_if(sections.rbegin(), sections.rend(), [&](SectionSpan const& span) {
            return span.shown_from <= time && time < span.out;
        });
        if (!m_footage || section == sections.rend())
            return;
        auto const ratio = m_meter.lowest(m_timeline.scene_at(time), *m_footage);
        if (!ratio)
            return;
        auto const [lowest, is_first] = m_lowest.try_emplace(section->section);
        if (is_first || *ratio < lowest->second.ratio)
            lowest->second = {section->section, time, *ratio};
    }

    Timeline const& m_timeline;
    ContrastMeter m_meter;
    std::optional<Grounds> m_footage;
    std::map<int, TextContrast> m_lowest; ///< by section
    std::size_t m_next = 0;
};

} // namespace tabard::pipeline
