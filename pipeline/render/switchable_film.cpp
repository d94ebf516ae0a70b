#include "pipeline/render/switchable_film.h"

#include "overlay/ass/script.h"
#include "pipeline/machine/processors.h"
#include "pipeline/machine/worker_pool.h"
#include "pipeline/media/read/picture_times.h"
#include "pipeline/media/write/copy_film.h"
#include "pipeline/render/film_room.h"
#include "pipeline/render/group_cache.h"
#include "pipeline/render/lost_overlays.h"
#include "pipeline/render/overlay_events.h"
#include "pipeline/render/whole_sound.h"

#include <algorithm>
#include <list>
#include <set>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;

Result<void> check_upright(VideoTrack const& video, fs::path const& footage)
{
    if (video.orientation == Orientation{})
        return {};
    return Error{ErrorKind::unsupported,
                 fmt::format("{}: its frames are stored turned or mirrored, and this Matroska file could not say so. "
                             "Write it upright with an editing program first, or render it without --switchable",
                             footage.string())};
}

Result<void> check_reach(SwitchableJob const& job, MediaInfo const& film)
{
    FilmJob whole;
    whole.footage = job.footage;
    for (SwitchableTrack const& track : job.tracks) {
        whole.runs = track.runs;
        TRY_VOID(check_overlays_reach(whole, film));
    }
    return {};
}

overlay::CardScribe::Hand hand_of(Look const& look)
{
    return look.stage.left_handed ? overlay::CardScribe::Hand::left : overlay::CardScribe::Hand::right;
}

struct Drawn {
    overlay::Stage stage;
    overlay::Theme theme;
    overlay::CardScribe scribe;
};

auto find(auto& all, overlay::Stage const& stage, overlay::Theme const& theme)
{
    return std::ranges::find_if(all, [&](Drawn const& drawn) { return drawn.stage == stage && drawn.theme == theme; });
}

/// Cards as they were drawn, for all tracks.
class Scribes {
public:
    /// All that the tracks show. One thread at a time, and before the cards are asked for.
    Result<void> draw(VideoTrack const& video, std::vector<SwitchableTrack> const& tracks)
    {
        for (SwitchableTrack const& track : tracks) {
            TRY_ASSIGN(overlay::CardScribe* const scribe, scribe_for(video, track.look));
            for (SceneRun const& run : track.runs.all())
                for (overlay::Layer const& layer : run.scene.layers)
                    scribe->draw(layer.content, layer.corner, hand_of(track.look));
            if (scribe->failure())
                return *scribe->failure();
        }
        return {};
    }

    /// Null where nothing was drawn for such pictures.
    overlay::CardScribe const* drawn(VideoTrack const& video, Look const& look) const
    {
        auto const known = find(m_scribes, stage_of(video, look), look.theme);
        return known == m_scribes.end() ? nullptr : &known->scribe;
    }

    std::set<std::string> lost_letters() const
    {
        std::set<std::string> lost;
        for (Drawn const& drawn : m_scribes)
            lost.insert(drawn.scribe.lost_letters().begin(), drawn.scribe.lost_letters().end());
        return lost;
    }
    overlay::FilmFonts const& fonts() const { return m_fonts; }

private:
    // One for all tracks that look alike but for the hand: most of their cards are the same.
    static overlay::Stage stage_of(VideoTrack const& video, Look const& look)
    {
        overlay::Stage stage = stage_for(video, look);
        stage.left_handed = false;
        return stage;
    }
    Result<overlay::CardScribe*> scribe_for(VideoTrack const& video, Look const& look)
    {
        overlay::Stage const stage = stage_of(video, look);
        if (auto const known = find(m_scribes, stage, look.theme); known != m_scribes.end())
            return &known->scribe;
        TRY_ASSIGN(auto scribe, overlay::CardScribe::create(stage, look.theme, m_fonts));
        return &m_scribes.emplace_back(Drawn{stage, look.theme, std::move(scribe)}).scribe;
    }

    overlay::FilmFonts m_fonts;
    std::list<Drawn> m_scribes;
};

/// Makes the tracks of cards that are drawn, several at once.
class TrackMaker {
public:
    TrackMaker(VideoTrack const& video, std::vector<Time> const& times, Scribes const& scribes, WorkerPool& pool)
        : m_video(video), m_times(times), m_stamps(times, end()), m_scribes(scribes), m_pool(pool)
    {
    }

    void add_all(std::vector<SwitchableTrack> const& tracks)
    {
        std::vector<std::future<std::vector<AddedCaptions::Event>>> coming;
        for (SwitchableTrack const& track : tracks)
            coming.push_back(m_pool.run([this, &track] { return events_of(track); }));
        for (auto const& events : coming) // all of them end before this may
            events.wait();
        for (std::size_t i = 0; i < tracks.size(); ++i)
            add({tracks[i].title, tracks[i].shown_by_default, {}, coming[i].get()});
    }

    /// After the last track.
    AddedTracks take(SwitchableReport& report)
    {
        AddedTracks added;
        for (AddedCaptions& captions : m_tracks) {
            captions.header = overlay::script_header(captions.title, m_video.displayed.width, m_video.displayed.height,
                                                     m_scribes.fonts());
            std::int64_t bytes = 0;
            for (auto const& event : captions.events)
                bytes += static_cast<std::int64_t>(event.fields.size());
            report.tracks.push_back({captions.title, captions.shown_by_default, captions.events.size(), bytes});
        }
        added.captions = std::move(m_tracks);
        for (overlay::FontFile& font : m_scribes.fonts().files()) {
            report.font_bytes += static_cast<std::int64_t>(font.bytes.size());
            added.attachments.push_back({std::move(font.file_name), std::move(font.mime_type), std::move(font.bytes)});
        }
        report.fonts = added.attachments.size();
        report.notes = std::move(m_notes);
        for (std::string const& letters : m_scribes.lost_letters())
            report.notes.push_back(
                fmt::format("'{}' is missing in the tracks: its font is made of pictures, which cannot be "
                            "drawn as outlines.",
                            letters));
        return added;
    }

private:
    Time end() const { return m_video.start + m_video.duration; }

    std::vector<AddedCaptions::Event> events_of(SwitchableTrack const& track) const
    {
        return overlay_events(track.runs.on_pictures(m_times, end()), m_stamps, *m_scribes.drawn(m_video, track.look),
                              hand_of(track.look));
    }

    void add(AddedCaptions captions)
    {
        auto const same = std::ranges::find(m_tracks, captions.events, &AddedCaptions::events);
        if (same == m_tracks.end()) {
            m_tracks.push_back(std::move(captions));
            return;
        }
        same->shown_by_default = same->shown_by_default || captions.shown_by_default;
        m_notes.push_back(
            fmt::format("There is no track \"{}\": it would show the same as \"{}\".", captions.title, same->title));
    }

    VideoTrack const& m_video;
    std::vector<Time> const& m_times;
    PictureStamps m_stamps;
    Scribes const& m_scribes;
    WorkerPool& m_pool;
    std::vector<AddedCaptions> m_tracks;
    std::vector<std::string> m_notes;
};

Result<SwitchableReport> write(SwitchableJob const& job, GroupCache* cache, fs::path const& target)
{
    Scribes scribes;
    WorkerPool pool(std::min(usable_processors(), static_cast<int>(job.tracks.size())));
    auto drawing = pool.run([&] { return job.video ? scribes.draw(*job.video, job.tracks) : Result<void>{}; });
    TRY_ASSIGN(CodedFilm film, CodedFilm::open(job.footage, job.write.stop));
    TRY_VOID(check_upright(film.video(), job.footage));
    TRY_VOID(check_reach(job, film.info()));
    TRY_ASSIGN(auto const times, read_picture_times(film));
    TRY_VOID(drawing.get());
    auto const is_drawn = [&](SwitchableTrack const& track) {
        return scribes.drawn(film.video(), track.look) != nullptr;
    };
    if (!job.video || !std::ranges::all_of(job.tracks, is_drawn))
        TRY_VOID(scribes.draw(film.video(), job.tracks));
    SwitchableReport report;
    TrackMaker maker(film.video(), times, scribes, pool);
    maker.add_all(job.tracks);
    AddedTracks const added = maker.take(report);
    if (std::ranges::all_of(added.captions, [](auto const& captions) { return captions.events.empty(); }))
        return Error{ErrorKind::invalid_input, "there is no overlay in this lesson: nothing could be switched"};
    WriteOptions options = job.write;
    options.container = Container::mkv;
    if (cache)
        options.whole_sound = known_whole_sound(film, *cache);
    double const whole = to_seconds(film.video().start + film.video().duration);
    auto const progress = [&](Time at) {
        if (job.progress && whole > 0)
            job.progress(std::clamp(to_seconds(at) / whole, 0.0, 1.0));
    };
    TRY_ASSIGN(WriteReport const written, copy_film(target, film.info(), options, added, progress));
    if (cache)
        keep_whole_sound(written.whole_sound, *cache);
    report.pictures = written.pictures;
    report.bytes = written.bytes;
    auto const& notes = film.info().notes;
    report.notes.insert(report.notes.begin(), notes.begin(), notes.end());
    report.notes.insert(report.notes.end(), written.notes.begin(), written.notes.end());
    return report;
}

} // namespace

Result<void> check_switchable(fs::path const& target)
{
    TRY_ASSIGN(Container const container, container_for(target));
    if (container == Container::mkv)
        return {};
    return Error{ErrorKind::invalid_input,
                 fmt::format("'{}': {} cannot carry overlays that a viewer switches on and off; write a .mkv file",
                             target.string(), name(container))};
}

Result<SwitchableReport> render_switchable(SwitchableJob const& job)
{
    TRY_VOID(check_switchable(job.target));
    Inputs inputs = job.inputs;
    inputs.add(job.footage);
    TRY_ASSIGN(OutputFile file, OutputFile::create(job.target, job.existing, inputs));
    auto cache = job.cache ? std::optional<GroupCache>(*job.cache) : std::nullopt;
    GroupCache* const kept = cache ? &*cache : nullptr;
    FilmRoom room(file.path(), kept);
    std::error_code unknown;
    auto const bytes = fs::file_size(job.footage, unknown);
    room.need(unknown ? 0 : static_cast<std::int64_t>(bytes));
    auto report = write(job, kept, file.path());
    if (!report)
        return file.said_of_target(room.explained(report.error()));
    auto const notes = room.notes();
    report->notes.insert(report->notes.end(), notes.begin(), notes.end());
    TRY_VOID(file.commit());
    return report;
}

} // namespace tabard::pipeline
