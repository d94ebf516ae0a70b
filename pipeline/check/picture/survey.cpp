#include "pipeline/check/picture/survey.h"

#include "pipeline/check/picture/film_watch.h"
#include "pipeline/check/picture/keyframe_look.h"
#include "pipeline/check/picture/lively.h"
#include "pipeline/check/picture/quiet.h"
#include "pipeline/check/picture/window_look.h"
#include "pipeline/machine/spares.h"
#include "pipeline/machine/worker_pool.h"
#include "pipeline/media/read/media_reader.h"

#include <algorithm>
#include <cmath>
#include <deque>
#include <future>

namespace tabard::pipeline {
namespace {

constexpr Time kFaceStep{4 * kFlicksPerSecond};
constexpr Time kWindow{5 * kFlicksPerSecond / 4}; // more than three flashes in a second are seen in it
constexpr Time kWindowStep{12 * kFlicksPerSecond};
constexpr Time kLeastLooked{10 * kFlicksPerSecond}; // of any film: in a short one hands may rest in the first window
// So much is decoded at most to look for black and frozen pictures between keyframes: a twentieth of the film, which
// costs a sixth of what the windows do.
constexpr Time kLeastQuietTime{60 * kFlicksPerSecond};
constexpr int kQuietShare = 20;
// So much at most is looked at because it may flash.
constexpr Time kLeastLivelyTime{10 * kFlicksPerSecond};
constexpr int kLivelyShare = 20;
// What one thread holds that decodes: reference pictures and those on their way.
constexpr int kPicturesOfAThread = 16;

int workers_of(Allowance const& allowance, VideoTrack const& video)
{
    std::int64_t const picture =
        std::int64_t{video.stored.width} * video.stored.height * 3 / 2 * (video.layout.bit_depth > 8 ? 2 : 1);
    return workers_for(allowance, kPicturesOfAThread * picture);
}

struct Surveyor {
    std::filesystem::path const& footage;
    Timeline const& timeline;
    SurveyOptions const& options;
    Survey result;
    std::vector<Time> keyframes;
    std::vector<FilmSpan> quiet;  ///< where the film may be black or frozen between keyframes
    std::vector<FilmSpan> lively; ///< where it may flash, the liveliest first

    SurveySecond& second_of(Time time)
    {
        auto const index = static_cast<std::size_t>(std::max<std::int64_t>(0, time.count() / kFlicksPerSecond));
        if (index >= result.seconds.size())
            result.seconds.resize(index + 1);
        return result.seconds[index];
    }

    /// Of a reader that has none beside it; 0: one for each processor.
    int threads() const { return options.allowance.jobs.value_or(0); }
    Result<MediaReader> open(Thoroughness thoroughness, int threads) const
    {
        return MediaReader::open(
            footage, {.threads = threads, .scaled = {}, .stop = options.stop, .thoroughness = thoroughness});
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

/// Keyframes come in order and are measured side by side; what follows from one another is told in order again.
class KeyframeWatch {
public:
    KeyframeWatch(Surveyor& work, OcclusionPainter painter, std::optional<ContrastWatch> contrast)
        : m_work(work),
          m_film(work.timeline, std::move(painter)),
          m_contrast(std::move(contrast)),
          m_stillness(work.result.video.colour.range)
    {
    }

    Result<void> watch(MediaReader& reader, int workers)
    {
        Spares<FaceFinder> finders;
        auto first = FaceFinder::create();
        bool const can_find = first.has_value();
        if (can_find)
            finders.give_back(*std::move(first));
        else
            m_work.result.notes.push_back(first.error().what);
        VideoTrack const& video = m_work.result.video;
        Time next_face{0};
        std::deque<std::future<KeyframeLook>> coming;
        WorkerPool pool(workers); // last: its threads end before what they use
        while (true) {
            TRY_ASSIGN(auto picture, reader.next());
            while (!coming.empty() && (!picture || std::ssize(coming) > workers)) {
                take(coming.front().get());
                coming.pop_front();
            }
            if (!picture)
                return {};
            bool const face_due = can_find && picture->time() >= next_face;
            if (face_due)
                next_face = picture->time() + kFaceStep;
            coming.push_back(
                pool.run([&video, finder = face_due ? &finders : nullptr, with_grounds = m_contrast.has_value(),
                          picture = *std::move(picture)] { return look_at(picture, video, with_grounds, finder); }));
        }
    }

    void finish()
    {
        m_stillness.finish();
        m_work.result.black = m_stillness.black();
        m_work.result.frozen = m_stillness.frozen();
        m_work.result.faces = believed(m_sightings);
        m_work.result.film_flashes = m_film.finish();
        if (m_contrast)
            m_work.result.contrasts = m_contrast->finish();
    }

private:
    void take(KeyframeLook const& look)
    {
        m_work.keyframes.push_back(look.time);
        m_work.note_light(look.time, look.shown);
        m_stillness.add(look.time, look.grid);
        m_film.footage(look.time, look.shown);
        if (m_contrast)
            m_contrast->footage(look.time, *look.grounds);
        for (auto const& box : look.faces)
            m_sightings.push_back({look.time, box});
        m_work.report(0.2 * m_work.part(look.time));
    }

    Surveyor& m_work;
    FilmWatch m_film;
    std::optional<ContrastWatch> m_contrast;
    StillnessMeter m_stillness;
    std::vector<FaceSighting> m_sightings;
};

Result<void> look_at_keyframes(Surveyor& work, OcclusionPainter painter, std::optional<ContrastWatch> contrast)
{
    TRY_ASSIGN(auto reader, work.open(Thoroughness::keyframes, work.threads()));
    work.result.video = reader.video();
    KeyframeWatch watch(work, std::move(painter), std::move(contrast));
    TRY_VOID(watch.watch(reader, workers_of(work.options.allowance, reader.video())));
    work.note_damage(reader.damage());
    watch.finish();
    work.quiet = quiet_stretches(reader.coded_sizes());
    work.lively = lively_stretches(reader.coded_sizes());
    return {};
}

/// From a keyframe on, every twelve seconds and in every section; overlapping ones are one.
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
    Time left = std::max(kLeastLivelyTime, work.timeline.facts().duration / kLivelyShare);
    for (FilmSpan const& stretch : work.lively)
        if ((left -= stretch.out - stretch.in) >= Time{0})
            windows.push_back(stretch);
    return merged(std::move(windows));
}

void take(Surveyor& work, FilmSpan const& window, WindowLook const& seen)
{
    for (auto const& [second, motion] : seen.seconds) {
        auto& now = work.second_of(Time{second * kFlicksPerSecond});
        now.moving_seen = true;
        now.motion = motion;
    }
    work.result.footage_flashes.insert(work.result.footage_flashes.end(), seen.flashes.begin(), seen.flashes.end());
    work.report(0.2 + 0.8 * work.part(std::min(window.out, work.timeline.facts().duration)));
}

Result<void> look_at_windows(Surveyor& work)
{
    VideoTrack const& video = work.result.video;
    Spares<MediaReader> readers;
    auto const look = [&](FilmSpan const& window) -> Result<WindowLook> {
        TRY_ASSIGN(auto reader, readers.take([&] { return work.open(Thoroughness::rough, 1); }));
        auto seen = look_at_window(reader, video, window);
        readers.give_back(std::move(reader));
        return seen;
    };
    std::vector<std::future<Result<WindowLook>>> coming;
    WorkerPool pool(std::min<int>(workers_of(work.options.allowance, video),
                                  static_cast<int>(std::max<std::size_t>(1, work.result.windows.size()))));
    for (FilmSpan const& window : work.result.windows)
        coming.push_back(pool.run([&look, &window] { return look(window); }));
    for (std::size_t i = 0; i < coming.size(); ++i) {
        TRY_ASSIGN(WindowLook const seen, coming[i].get());
        take(work, work.result.windows[i], seen);
    }
    return {};
}

// In one go, since what is damaged can be told from what only lacks the pictures before a seek.
Result<void> look_at_every_picture(Surveyor& work)
{
    TRY_ASSIGN(auto reader, work.open(Thoroughness::rough, work.threads()));
    for (FilmSpan const& window : work.result.windows) {
        auto const tell = [&work](Time time) { work.report(0.2 + 0.8 * work.part(time)); };
        TRY_ASSIGN(WindowLook const seen, look_at_window(reader, work.result.video, window, tell));
        take(work, window, seen);
    }
    work.note_damage(reader.damage());
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
Result<void> look_at_quiet_stretches(Surveyor& work)
{
    if (work.quiet.empty())
        return {};
    TRY_ASSIGN(auto reader, work.open(Thoroughness::rough, work.threads()));
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
    Surveyor work{footage, timeline, options, {}, {}, {}, {}};
    TRY_ASSIGN(auto painter, OcclusionPainter::create(stage, theme));
    TRY_ASSIGN(auto contrast, contrast_watch(timeline, stage, theme));
    TRY_VOID(look_at_keyframes(work, std::move(painter), std::move(contrast)));
    work.result.windows = choose_windows(work);
    TRY_VOID(options.every_picture ? look_at_every_picture(work) : look_at_windows(work));
    TRY_VOID(look_at_quiet_stretches(work));
    return std::move(work.result);
}

} // namespace tabard::pipeline
