#include "overlay/base/utf8.h"
#include "pipeline/retime/export.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <cctype>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr std::size_t kReelLength = 8;

/// The footage's name as an edit list can hold it: eight letters and digits.
std::string reel_of(std::string const& footage)
{
    std::string const file = footage.substr(footage.find_last_of("/\\") + 1);
    std::string reel;
    for (char const sign : file.substr(0, file.rfind('.')))
        if (std::isalnum(static_cast<unsigned char>(sign)) && reel.size() < kReelLength)
            reel += static_cast<char>(std::toupper(static_cast<unsigned char>(sign)));
    return reel.empty() ? "FOOTAGE" : reel;
}

class Writer {
public:
    explicit Writer(ExportJob const& job)
        : m_job(job), m_reel(reel_of(job.footage)), m_format{job.rate, has_drop_frame(job.rate)}
    {
        if (auto const label = timecode_frame(job.footage_label, job.rate)) {
            m_source_start = *label;
            m_format.drop_frame = job.footage_label.find(';') != std::string::npos;
        }
        m_record_start = timecode_frame(m_format.drop_frame ? "01:00:00;00" : "01:00:00:00", job.rate).value();
    }

    Exported write()
    {
        m_text = fmt::format("TITLE: {}\nFCM: {}DROP FRAME\n\n", on_one_line(m_job.title),
                             m_format.drop_frame ? "" : "NON-");
        std::size_t cue = 0;
        Time at{0};
        for (KeptSpan const& span : m_job.cut.spans()) {
            black(at, span.target.from);
            event(span);
            at = span.target.to;
            for (; cue < m_job.cues.size() && first_frame(m_job.cues[cue].on_screen.from) < nearest(span.target.to);
                 ++cue)
                comment(m_job.cues[cue]);
        }
        black(at, m_job.length);
        for (; cue < m_job.cues.size(); ++cue)
            comment(m_job.cues[cue]);
        Exported result{std::move(m_text),
                        {"edl holds cues as comments: each says in words where its cue begins and how long it stays"}};
        if (m_rounded > 0)
            result.remarks.push_back(fmt::format("{} of {} cuts lie between frames and were brought to the nearest one",
                                                 m_rounded, m_job.cut.spans().size()));
        return result;
    }

private:
    std::int64_t nearest(Time time) const { return to_ticks(time, m_job.rate.den, m_job.rate.num); }
    /// The first frame at or after a time: the one that shows a cue first.
    std::int64_t first_frame(Time time) const
    {
        std::int64_t const frame = nearest(time);
        return from_frame(frame, m_job.rate) < time ? frame + 1 : frame;
    }
    std::string label(std::int64_t frame) const { return timecode_label(std::max<std::int64_t>(0, frame), m_format); }
    std::string source_label(std::int64_t frame) const { return label(frame + m_source_start); }
    std::string record_label(std::int64_t frame) const { return label(frame + m_record_start); }

    /// New material as black, so that the list says where the film begins and ends.
    void black(Time from, Time to)
    {
        std::int64_t const length = nearest(to) - nearest(from);
        if (length > 0)
            m_text += fmt::format("{:03}  BL       V     C        {} {} {} {}\n", ++m_events, label(0), label(length),
                                  record_label(nearest(from)), record_label(nearest(to)));
    }

    void event(KeptSpan const& span)
    {
        std::int64_t const from = nearest(span.source.from);
        std::int64_t const to = span.motion == Motion::freeze ? from + 1 : nearest(span.source.to);
        std::int64_t const at = nearest(span.target.from);
        std::int64_t const until = nearest(span.target.to);
        bool const exact =
            from_frame(from, m_job.rate) == span.source.from && from_frame(at, m_job.rate) == span.target.from;
        m_rounded += exact ? 0 : 1;
        m_text += fmt::format("{:03}  {:<8} V     C        {} {} {} {}\n", ++m_events, m_reel, source_label(from),
                              source_label(to), record_label(at), record_label(until));
        if (span.motion != Motion::forward || to - from != until - at) {
            double const rate = static_cast<double>(m_job.rate.num) / m_job.rate.den;
            double const running = rate * static_cast<double>(to - from) / static_cast<double>(until - at);
            // One decimal is all there is, and 000.0 would mean a freeze.
            double const speed = span.motion == Motion::freeze ? 0 : std::max(running, 0.1);
            m_text += fmt::format("M2   {:<8} {}{:05.1f}                {}\n", m_reel,
                                  span.motion == Motion::reverse ? "-" : "", speed, source_label(from));
        }
        m_text += fmt::format("* FROM CLIP NAME: {}\n",
                              on_one_line(m_job.footage.substr(m_job.footage.find_last_of("/\\") + 1)));
    }

    void comment(ExportCue const& cue)
    {
        std::string const bar = cue.bar > 0 ? fmt::format(", bar {}", cue.bar) : "";
        m_text += fmt::format("* AT {}: {} {}{} ({:.2f} s)\n", record_label(first_frame(cue.on_screen.from)),
                              cue_kind_name(cue.kind), on_one_line(cue.name), bar, to_seconds(cue.on_screen.length()));
    }

    ExportJob const& m_job;
    std::string m_reel;
    TimecodeFormat m_format;
    std::int64_t m_source_start = 0;
    std::int64_t m_record_start = 0;
    int m_events = 0;
    int m_rounded = 0;
    std::string m_text;
};

} // namespace

Exported export_edl(ExportJob const& job) { return Writer(job).write(); }

} // namespace tabard::pipeline
