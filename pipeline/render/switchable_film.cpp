#include "pipeline/render/switchable_film.h"

#include "overlay/ass/script.h"
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
                 fmt::format("{}: its pictures are stored turned or mirrored, and this Matroska file could not say so. "
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

/// Cards as they were drawn, for all tracks.
class Scribes {
public:
    /// Draws what a track shows, before it is asked for. What fails so is said then.
    void draw(VideoTrack const& video, SwitchableTrack const& track)
    {
        auto const scribe = scribe_for(video, track.look);
        if (!scribe)
            return;
        for (SceneRun const& run : track.runs.all())
            for (overlay::Layer const& layer : run.scene.layers)
                (*scribe)->elements(layer.content, layer.corner, hand_of(track.look));
    }

    // One for all tracks that look alike but for the hand: most of their cards are the same.
    Result<overlay::CardScribe*> scribe_for(VideoTrack const& video, Look const& look)
    {
        overlay::Stage stage = stage_for(video, look);
        stage.left_handed = false;
        auto const known = std::ranges::find_if(
            m_scribes, [&](Drawn const& drawn) { return drawn.stage == stage && drawn.theme == look.theme; });
        if (known != m_scribes.end())
            return &known->scribe;
        TRY_ASSIGN(auto scribe, overlay::CardScribe::create(stage, look.theme, m_fonts));
        return &m_scribes.emplace_back(Drawn{stage, look.theme, std::move(scribe)}).scribe;
    }

    overlay::FilmFonts const& fonts() const { return m_fonts; }

private:
    struct Drawn {
        overlay::Stage stage;
        overlay::Theme theme;
        overlay::CardScribe scribe;
    };

    overlay::FilmFonts m_fonts;
    std::list<Drawn> m_scribes;
};

/// Makes the tracks, each once.
class TrackMaker {
public:
    TrackMaker(VideoTrack const& video, std::vector<Time> const& times, Scribes& scribes)
        : m_video(video), m_times(times), m_stamps(times, end()), m_scribes(scribes)
    {
    }

    Result<void> add(SwitchableTrack const& track)
    {
        TRY_ASSIGN(overlay::CardScribe* const scribe, m_scribes.scribe_for(m_video, track.look));
        AddedCaptions captions{
            track.title,
            track.shown_by_default,
            {},
            overlay_events(track.runs.on_pictures(m_times, end()), m_stamps, *scribe, hand_of(track.look))};
        if (scribe->failure())
            return *scribe->failure();
        m_lost.insert(scribe->lost_letters().begin(), scribe->lost_letters().end());
        auto const same = std::ranges::find(m_tracks, captions.events, &AddedCaptions::events);
        if (same == m_tracks.end()) {
            m_tracks.push_back(std::move(captions));
            return {};
        }
        same->shown_by_default = same->shown_by_default || captions.shown_by_default;
        m_notes.push_back(
            fmt::format("There is no track \"{}\": it would show the same as \"{}\".", captions.title, same->title));
        return {};
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
        for (std::string const& letters : m_lost)
            report.notes.push_back(
                fmt::format("'{}' is missing in the tracks: its font is made of pictures, which cannot be "
                            "drawn as outlines.",
                            letters));
        return added;
    }

private:
    Time end() const { return m_video.start + m_video.duration; }

    VideoTrack const& m_video;
    std::vector<Time> const& m_times;
    PictureStamps m_stamps;
    Scribes& m_scribes;
    std::vector<AddedCaptions> m_tracks;
    std::vector<std::string> m_notes;
    std::set<std::string> m_lost;
};

Result<SwitchableReport> write(SwitchableJob const& job, GroupCache* cache, fs::path const& target)
{
    Scribes scribes;
    WorkerPool thread(job.video ? 1 : 0);
    auto drawing = thread.run([&] {
        for (SwitchableTrack const& track : job.tracks)
            if (job.video)
                scribes.draw(*job.video, track);
    });
    TRY_ASSIGN(CodedFilm film, CodedFilm::open(job.footage, job.write.stop));
    TRY_VOID(check_upright(film.video(), job.footage));
    TRY_VOID(check_reach(job, film.info()));
    TRY_ASSIGN(auto const times, read_picture_times(film));
    drawing.get();
    SwitchableReport report;
    TrackMaker maker(film.video(), times, scribes);
    for (SwitchableTrack const& track : job.tracks)
        TRY_VOID(maker.add(track));
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
