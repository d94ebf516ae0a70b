#include "pipeline/check/picture/survey.h"

#include "pipeline/check/picture/contrast.h"
#include "pipeline/check/picture/face_finder.h"
#include "pipeline/check/picture/occlusion.h"
#include "pipeline/check/picture/quiet.h"
#include "pipeline/media/read/media_reader.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace tabard::pipeline {
namespace {

constexpr Time kMotionStep{kFlicksPerSecond / 12}; // a tenth of a second at 30 frames: three of them
constexpr Time kFaceStep{3 * kFlicksPerSecond};
constexpr Time kWindow{5 * kFlicksPerSecond / 2};
constexpr Time kWindowStep{9 * kFlicksPerSecond};
constexpr Time kLeastLooked{10 * kFlicksPerSecond}; // of any film: in a short one hands may rest in the first window
// So much is decoded at most to look for black and frozen pictures between keyframes: a twentieth of the film, which
// costs a sixth of what the windows do.
constexpr Time kLeastQuietTime{60 * kFlicksPerSecond};
constexpr int kQuietShare = 20;

struct Surveyor {
    std::filesystem::path const& footage;
    Timeline const& timeline;
    SurveyOptions const& options;
    Survey result;
    std::vector<Time> keyframes;
    std::vector<FilmSpan> quiet; ///< where the film may be black or frozen between keyframes

    SurveySecond& second_of(Time time)
    {
        auto const index = static_cast<std::size_t>(std::max<std::int64_t>(0, time.count() / kFlicksPerSecond));
        if (index >= result.seconds.size())
            result.seconds.resize(index + 1);
        return result.seconds[index];
    }

    Result<MediaReader> open(Thoroughness thoroughness) const
    {
        return MediaReader::open(
            footage, {.threads = options.threads, .scaled = {}, .stop = options.stop, .thoroughness = thoroughness});
    }

    /// Of a reader that has not sought: behind a seek pictures may lack others.
    void note_damage(ReadDamage const& damage)
    {
        result.damaged_pictures = std::max(result.damaged_pictures, damage.broken_packets + damage.concealed_pictures);
    }

    void report(double share) const
    {
        if (options.progress)
            options.progress(share);
    }

    double part(Time time) const
    {
        return std::clamp(to_seconds(time) / std::max(0.001, to_seconds(timeline.facts().duration)), 0.0, 1.0);
    }

    void note_light(Time time, RgbGrid const& shown)
    {
        auto& second = second_of(time);
        second.light_seen = true;
        for (std::size_t i = 0; i < kGridCells; ++i)
            second.light[i] = static_cast<std::uint8_t>(std::lround(luminance(shown[i]) * 255));
    }
};

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

/// None where the theme itself sees to it that text can be read.
Result<std::optional<ContrastWatch>> contrast_watch(Timeline const& timeline, overlay::Stage const& stage,
                                                    overlay::Theme const& theme)
{
    if (lowest_text_contrast(theme) >= overlay::kLeastTextContrast)
        return std::optional<ContrastWatch>{};
    TRY_ASSIGN(auto meter, ContrastMeter::create(stage, theme));
    return std::optional{ContrastWatch{timeline, std::move(meter)}};
}

/// A face is believed where another was seen near it within ten seconds: lone sightings are mostly none.
std::vector<FaceSighting> believed(std::vector<FaceSighting> const& seen)
{
    std::vector<FaceSighting> result;
    for (auto const& face : seen) {
        auto const confirms = [&](FaceSighting const& other) {
            Time const apart = other.time > face.time ? other.time - face.time : face.time - other.time;
            return apart > Time{0} && apart <= Time{10 * kFlicksPerSecond} &&
                   std::abs(other.box.centre_x() - face.box.centre_x()) < face.box.width / 2 &&
                   std::abs(other.box.centre_y() - face.box.centre_y()) < face.box.height / 2;
        };
        if (std::any_of(seen.begin(), seen.end(), confirms))
            result.push_back(face);
    }
    return result;
}

Result<void> look_at_keyframes(Surveyor& work, OcclusionPainter painter, std::optional<ContrastWatch> contrast)
{
    TRY_ASSIGN(auto reader, work.open(Thoroughness::keyframes));
    work.result.video = reader.video();
    auto finder = FaceFinder::create();
    if (!finder)
        work.result.notes.push_back(finder.error().what);
    FilmWatch film{work.timeline, std::move(painter)};
    StillnessMeter stillness{reader.video().colour.range};
    std::vector<FaceSighting> sightings;
    Time next_face{0};
    while (true) {
        TRY_ASSIGN(auto const picture, reader.next());
        if (!picture)
            break;
        Time const time = picture->time();
        auto const grid = measure_grid(picture->view(), reader.video().orientation);
        auto const shown = displayed(grid, reader.video().colour);
        work.keyframes.push_back(time);
        work.note_light(time, shown);
        stillness.add(time, grid);
        film.footage(time, shown);
        if (contrast)
            contrast->footage(time, grounds(grid, measure_ranges(picture->view(), reader.video().orientation),
                                            reader.video().colour));
        if (finder && time >= next_face) {
            for (auto const& box : finder->find(picture->view(), reader.video()))
                sightings.push_back({time, box});
            next_face = time + kFaceStep;
        }
        work.report(0.2 * work.part(time));
    }
    work.note_damage(reader.damage());
    stillness.finish();
    work.result.black = stillness.black();
    work.result.frozen = stillness.frozen();
    work.result.faces = believed(sightings);
    work.quiet = quiet_stretches(reader.coded_sizes());
    work.result.film_flashes = film.finish();
    if (contrast)
        work.result.contrasts = contrast->finish();
    return {};
}

/// From a keyframe on, every nine seconds and in every section; overlapping ones are one.
std::vector<FilmSpan> choose_windows(Surveyor const& work)
{
    if (work.options.every_picture)
        return {{Time{0}, Time::max()}};
    std::vector<FilmSpan> windows;
    Time free_from{0};
    Time const step = std::min(kWindowStep, work.timeline.facts().duration / (kLeastLooked / kWindow));
    auto const& sections = work.timeline.sections();
    for (auto const key : work.keyframes) {
        bool const first_of_section = std::any_of(sections.begin(), sections.end(), [&](SectionSpan const& section) {
            auto const first = std::lower_bound(work.keyframes.begin(), work.keyframes.end(), section.in);
            return first != work.keyframes.end() && *first == key && key < section.out;
        });
        if (key < free_from && !first_of_section)
            continue;
        if (!windows.empty() && key <= windows.back().out)
            windows.back().out = key + kWindow;
        else
            windows.push_back({key, key + kWindow});
        free_from = key + step;
    }
    return windows;
}

/// What moves and what flashes in one window.
Result<void> look_at_window(Surveyor& work, MediaReader& reader, FilmSpan const& window)
{
    TRY_VOID(reader.seek(window.in));
    FlashMeter flashes;
    std::optional<Grid> last;
    Time last_time{0};
    std::array<float, kGridCells> moved{};
    int steps = 0;
    std::int64_t second = -1;
    while (true) {
        TRY_ASSIGN(auto const picture, reader.next());
        if (!picture || picture->time() >= window.out)
            break;
        Time const time = picture->time();
        auto const grid = measure_grid(picture->view(), work.result.video.orientation);
        flashes.add(time, displayed(grid, work.result.video.colour));
        if (last && time - last_time < kMotionStep)
            continue;
        if (second != time.count() / kFlicksPerSecond) {
            second = time.count() / kFlicksPerSecond;
            moved.fill(0);
            steps = 0;
            work.report(0.2 + 0.8 * work.part(time));
        }
        if (last) {
            ++steps;
            auto& now = work.second_of(time);
            now.moving_seen = true;
            for (std::size_t i = 0; i < kGridCells; ++i) {
                moved[i] += std::abs(grid[i].luma - (*last)[i].luma);
                now.motion[i] = static_cast<std::uint8_t>(std::min(255.0F, 8 * moved[i] / static_cast<float>(steps)));
            }
        }
        last = grid;
        last_time = time;
    }
    auto const& spans = flashes.spans();
    work.result.footage_flashes.insert(work.result.footage_flashes.end(), spans.begin(), spans.end());
    return {};
}

/// The keyframe that decoding must begin with to see `time`.
Time keyframe_before(Surveyor const& work, Time time)
{
    auto const after = std::upper_bound(work.keyframes.begin(), work.keyframes.end(), time);
    return after == work.keyframes.begin() ? Time{0} : *std::prev(after);
}

/// Whether keyframes have found something in a stretch.
bool known(std::vector<FilmSpan> const& spans, FilmSpan const& stretch)
{
    return std::any_of(spans.begin(), spans.end(),
                       [&](FilmSpan const& span) { return span.in < stretch.out && stretch.in < span.out; });
}

/// What is black or frozen between keyframes, where the film is quiet enough for that.
Result<void> look_at_quiet_stretches(Surveyor& work, MediaReader& reader)
{
    Time left = std::max(kLeastQuietTime, work.timeline.facts().duration / kQuietShare);
    for (FilmSpan const& stretch : work.quiet) {
        if (known(work.result.black, stretch) || known(work.result.frozen, stretch))
            continue;
        Time const cost = stretch.out - keyframe_before(work, stretch.in);
        if (cost > left)
            continue;
        left -= cost;
        TRY_VOID(reader.seek(stretch.in));
        StillnessMeter stillness{work.result.video.colour.range};
        while (true) {
            TRY_ASSIGN(auto const picture, reader.next());
            if (!picture || picture->time() > stretch.out)
                break;
            stillness.add(picture->time(), measure_grid(picture->view(), work.result.video.orientation));
        }
        stillness.finish();
        auto const add = [](std::vector<FilmSpan> const& found, std::vector<FilmSpan>& spans) {
            spans.insert(spans.end(), found.begin(), found.end());
            spans = merged(std::move(spans));
        };
        add(stillness.black(), work.result.black);
        add(stillness.frozen(), work.result.frozen);
    }
    return {};
}

} // namespace

Result<Survey> survey(std::filesystem::path const& footage, Timeline const& timeline, overlay::Stage const& stage,
                      overlay::Theme const& theme, SurveyOptions const& options)
{
    Surveyor work{footage, timeline, options, {}, {}, {}};
    TRY_ASSIGN(auto painter, OcclusionPainter::create(stage, theme));
    TRY_ASSIGN(auto contrast, contrast_watch(timeline, stage, theme));
    TRY_VOID(look_at_keyframes(work, std::move(painter), std::move(contrast)));
    work.result.windows = choose_windows(work);
    TRY_ASSIGN(auto reader, work.open(Thoroughness::rough));
    for (auto const& window : work.result.windows)
        TRY_VOID(look_at_window(work, reader, window));
    if (options.every_picture)
        work.note_damage(reader.damage());
    TRY_VOID(look_at_quiet_stretches(work, reader));
    return std::move(work.result);
}

} // namespace tabard::pipeline
