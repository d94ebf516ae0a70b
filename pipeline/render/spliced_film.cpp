#include "pipeline/render/spliced_film.h"

#include "pipeline/media/splice/group_encoder.h"
#include "pipeline/media/splice/group_reader.h"
#include "pipeline/media/splice/splice_check.h"
#include "pipeline/media/splice/splice_writer.h"
#include "pipeline/render/current_overlay.h"
#include "pipeline/render/group_key.h"
#include "pipeline/render/splice_quality.h"

#include <algorithm>
#include <atomic>
#include <condition_variable>
#include <deque>
#include <filesystem>
#include <functional>
#include <future>
#include <mutex>
#include <system_error>
#include <thread>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using namespace std::chrono_literals;

// What a group that is being encoded holds at most: pictures the encoder plans ahead with, reference pictures of both
// sides.
constexpr std::int64_t kPicturesInWork = 48;
constexpr std::int64_t kMemoryForPictures = 320'000'000;
constexpr std::size_t kMostWaitingBytes = 64'000'000;

// Other numbers give other bytes, so this one depends on nothing, least of all on the machine: all the same film. It
// keeps two cores busy where one group is left, and takes no more work where there are many.
constexpr int kThreadsOfAGroup = 3;

int workers_for(VideoTrack const& video)
{
    std::int64_t const picture_bytes = std::int64_t{video.stored.width} * video.stored.height * 2;
    // At 4K two sides of the film are still worth their memory; see the bench for what it comes to.
    std::int64_t const affordable = std::max<std::int64_t>(2, kMemoryForPictures / (picture_bytes * kPicturesInWork));
    return static_cast<int>(std::clamp<std::int64_t>(std::thread::hardware_concurrency(), 1, affordable));
}

/// Encodes groups in threads of its own, in the order they come. The same few threads do all of them: what one encoder
/// gives back, the next one of that thread takes, and memory stays as it was after the first.
class EncodingPool {
public:
    EncodingPool(GroupEncoder const& encoder, SceneRuns const& runs, Compositor& compositor, int workers,
                 std::stop_token stop)
        : m_encoder(encoder),
          m_runs(runs),
          m_compositor(compositor),
          m_outer_stop(std::move(stop), [this] { m_stop.request_stop(); })
    {
        try {
            for (int i = 0; i < workers; ++i)
                m_workers.emplace_back([this](std::stop_token closing) { work(closing); });
        } catch (std::system_error const&) { // the system has no more threads: those there are do it all
        }
    }
    /// Ends the work that nobody will fetch.
    ~EncodingPool() { m_stop.request_stop(); }

    std::future<Result<CodedGroup>> encode(CodedGroup group)
    {
        Task task([this, group = std::move(group)] { return encode_now(group); });
        auto coming = task.get_future();
        if (m_workers.empty()) {
            task();
            return coming;
        }
        {
            std::lock_guard const lock(m_mutex);
            m_tasks.push_back(std::move(task));
        }
        m_has_task.notify_one();
        return coming;
    }
    std::int64_t pictures_done() const { return m_pictures_done; }
    std::int64_t pictures_drawn() const { return m_pictures_drawn; }

private:
    using Task = std::packaged_task<Result<CodedGroup>()>;

    void work(std::stop_token const& closing)
    {
        for (;;) {
            std::unique_lock lock(m_mutex);
            if (!m_has_task.wait(lock, closing, [this] { return !m_tasks.empty(); }))
                return;
            Task task = std::move(m_tasks.front());
            m_tasks.pop_front();
            lock.unlock();
            task();
        }
    }

    Result<CodedGroup> encode_now(CodedGroup const& group)
    {
        CurrentOverlay overlay(m_runs, m_compositor);
        auto const draw = [&](DecodedPicture& picture) {
            if (SceneOverlay const* const shown = overlay.at(picture.time())) {
                shown->blend_onto(picture.writable());
                ++m_pictures_drawn;
            }
            ++m_pictures_done;
        };
        TRY_ASSIGN(CodedGroup coded, m_encoder.encode(group, draw, kThreadsOfAGroup, m_stop.get_token()));
        if (auto const wrong = m_compositor.failure())
            return *wrong;
        return coded;
    }

    GroupEncoder const& m_encoder;
    SceneRuns const& m_runs;
    Compositor& m_compositor;
    std::stop_source m_stop;
    std::stop_callback<std::function<void()>> m_outer_stop;
    std::atomic<std::int64_t> m_pictures_done = 0;
    std::atomic<std::int64_t> m_pictures_drawn = 0;
    std::mutex m_mutex; // guards m_tasks
    std::condition_variable_any m_has_task;
    std::deque<Task> m_tasks;
    std::vector<std::jthread> m_workers; // last: they end before what they use
};

/// A group on its way to the film: ready, or still in the pool.
struct Pending {
    CodedGroup ready;
    std::future<Result<CodedGroup>> coming; ///< valid where it is in the pool
    std::string key;                        ///< then: its place in the cache
    std::size_t bytes = 0;
    bool encoded = false; ///< not the film's own
};

class Splicer {
public:
    Splicer(FilmPlan const& plan, SplicedFilmOptions const& options, GroupKeys keys, SpliceWriter writer,
            EncodingPool& pool, FilmRoom& room, int workers)
        : m_plan(plan),
          m_options(options),
          m_keys(std::move(keys)),
          m_writer(std::move(writer)),
          m_pool(pool),
          m_room(room),
          m_workers(workers),
          m_size(*plan.source, plan.touched, options.footage_bytes)
    {
        for (std::size_t i = 0; i < plan.touched.size(); ++i)
            if (plan.touched[i])
                m_pictures_to_do += static_cast<std::int64_t>(plan.source->groups[i].pictures);
    }

    Result<void> put_all(CodedFilm& film)
    {
        TRY_ASSIGN(GroupReader reader, GroupReader::open(film, *m_plan.source));
        m_room.need(m_size.still_to_come());
        for (std::size_t i = 0; i < m_plan.touched.size(); ++i) {
            TRY_ASSIGN(auto group, reader.next());
            take(*std::move(group), m_plan.touched[i]);
            while (is_full() || front_is_ready())
                TRY_VOID(put_front());
        }
        while (!m_pending.empty())
            TRY_VOID(put_front());
        return {};
    }
    Result<FilmReport> finish()
    {
        TRY_ASSIGN(WriteReport const written, m_writer.finish());
        m_report.pictures = written.pictures;
        m_report.bytes = written.bytes;
        m_report.notes = m_plan.source->info.notes;
        m_report.notes.insert(m_report.notes.end(), written.notes.begin(), written.notes.end());
        m_report.groups = static_cast<std::int64_t>(m_plan.touched.size());
        m_report.spliced = true;
        m_report.drawn_pictures += m_pool.pictures_drawn();
        if (m_not_kept > 0)
            m_report.notes.push_back(fmt::format("{} encoded groups were not kept in the cache '{}': there is no room.",
                                                 m_not_kept, m_options.cache->folder().string()));
        return m_report;
    }
    SpliceExpectation expected(AvcConfiguration const& configuration) &&
    {
        m_expected.configuration = configuration;
        return std::move(m_expected);
    }

private:
    void take(CodedGroup group, bool touched)
    {
        Pending pending;
        pending.encoded = touched;
        pending.bytes = group.bytes();
        m_waiting_bytes += pending.bytes;
        if (!touched) {
            pending.ready = std::move(group);
        } else {
            pending.key = m_keys.key(group, m_plan.runs);
            if (auto cached = find_cached(pending.key, group)) {
                pending.ready = *std::move(cached);
                m_pictures_to_do -= static_cast<std::int64_t>(pending.ready.pictures.size());
                count_drawn(pending.ready);
                ++m_report.from_cache;
            } else {
                pending.coming = m_pool.encode(std::move(group));
                ++m_in_work;
                ++m_report.encoded;
            }
        }
        m_pending.push_back(std::move(pending));
    }

    void count_drawn(CodedGroup const& group)
    {
        Ratio const clock = m_plan.source->info.video->clock;
        for (CodedPicture const& picture : group.pictures)
            m_report.drawn_pictures += m_plan.runs.at(from_ticks(picture.shown, clock.num, clock.den)) != nullptr;
    }

    std::optional<CodedGroup> find_cached(std::string const& key, CodedGroup const& group) const
    {
        auto const bytes = m_options.cache ? m_options.cache->find(key) : std::nullopt;
        auto cached = bytes ? CodedGroup::parse(*bytes, group.pictures.front().decoded) : std::nullopt;
        bool const fits = cached && cached->pictures.size() == group.pictures.size();
        return fits ? std::move(cached) : std::nullopt;
    }

    bool is_full() const
    {
        return !m_pending.empty() &&
               (m_in_work >= 2 * static_cast<std::size_t>(m_workers) || m_waiting_bytes > kMostWaitingBytes);
    }
    bool front_is_ready() const
    {
        return !m_pending.empty() && (!m_pending.front().coming.valid() ||
                                      m_pending.front().coming.wait_for(0s) == std::future_status::ready);
    }

    Result<void> put_front()
    {
        Pending& front = m_pending.front();
        if (front.coming.valid()) {
            while (front.coming.wait_for(50ms) != std::future_status::ready)
                tell_progress();
            TRY_ASSIGN(front.ready, front.coming.get());
            --m_in_work;
            keep(front);
        }
        tell_progress();
        m_size.put(static_cast<std::int64_t>(front.ready.bytes()));
        note_expected(front);
        TRY_VOID(m_writer.write(front.ready));
        m_waiting_bytes -= front.bytes;
        m_pending.pop_front();
        return {};
    }

    void keep(Pending const& group)
    {
        if (!m_options.cache)
            return;
        auto const bytes = static_cast<std::int64_t>(group.ready.bytes());
        std::int64_t const needed = bytes + m_size.still_to_come();
        m_room.need(needed);
        if (!m_room.allows(bytes, needed) || !m_options.cache->store(group.key, group.ready.serialise()))
            ++m_not_kept;
    }

    void note_expected(Pending const& group)
    {
        if (m_groups_put > 0 && group.encoded != m_last_encoded)
            m_expected.seams.push_back(m_groups_put);
        m_last_encoded = group.encoded;
        ++m_groups_put;
        for (CodedPicture const& picture : group.ready.pictures)
            m_expected.pictures.push_back({picture.shown, picture.data.size()});
    }

    // Encoding is nearly all of the work.
    void tell_progress() const
    {
        if (!m_options.progress)
            return;
        double const encoded = m_pictures_to_do > 0
                                   ? static_cast<double>(m_pool.pictures_done()) / static_cast<double>(m_pictures_to_do)
                                   : 1;
        double const put = static_cast<double>(m_groups_put) / static_cast<double>(m_plan.touched.size());
        m_options.progress(std::clamp(0.95 * encoded + 0.05 * put, 0.0, 1.0));
    }

    FilmPlan const& m_plan;
    SplicedFilmOptions const& m_options;
    GroupKeys m_keys;
    SpliceWriter m_writer;
    EncodingPool& m_pool;
    FilmRoom& m_room;
    int m_workers;
    FilmSize m_size;
    std::deque<Pending> m_pending;
    std::int64_t m_not_kept = 0;
    std::size_t m_in_work = 0;
    std::size_t m_waiting_bytes = 0;
    std::size_t m_groups_put = 0;
    bool m_last_encoded = false;
    std::int64_t m_pictures_to_do = 0;
    SpliceExpectation m_expected;
    FilmReport m_report;
};

// The found value is kept beside the groups: finding it again would cost more than a small change of the cues.
Result<int> crf_for(CodedFilm& film, SpliceSource const& source, SplicedFilmOptions const& options)
{
    EncoderSettings const& settings = options.write.encoder;
    if (settings.crf)
        return *settings.crf;
    std::string const key = quality_key(source, settings);
    if (auto const kept = options.cache ? options.cache->find(key) : std::nullopt; kept && kept->size() == 1)
        return static_cast<int>((*kept)[0]);
    TRY_ASSIGN(int const crf, find_crf(film, source, settings, options.write.stop));
    auto const byte = static_cast<std::byte>(crf);
    if (options.cache)
        options.cache->store(key, {&byte, 1});
    return crf;
}

} // namespace

Result<FilmReport> write_spliced(CodedFilm& film, FilmPlan const& plan, SplicedFilmOptions const& options,
                                 FilmRoom& room, fs::path const& target)
{
    SpliceSource const& source = *plan.source;
    TRY_ASSIGN(Compositor compositor, Compositor::create(film.video(), options.look));
    EncoderSettings settings = options.write.encoder;
    if (plan.touched_groups > 0) {
        TRY_ASSIGN(settings.crf, crf_for(film, source, options));
    }
    TRY_ASSIGN(GroupEncoder const encoder, GroupEncoder::create(film, source, settings));
    GroupKeys keys(encoder.configuration(), settings, options.look, film.video(), compositor);
    if (auto const wrong = compositor.failure())
        return *wrong;
    TRY_ASSIGN(SpliceWriter writer, SpliceWriter::create(target, film, encoder.configuration(), options.write));

    int const workers = workers_for(film.video());
    EncodingPool pool(encoder, plan.runs, compositor, workers, options.write.stop);
    Splicer splicer(plan, options, std::move(keys), std::move(writer), pool, room, workers);
    TRY_VOID(splicer.put_all(film));
    TRY_ASSIGN(FilmReport report, splicer.finish());
    TRY_VOID(check_spliced(target, source, std::move(splicer).expected(encoder.configuration()), options.write.stop));
    return report;
}

} // namespace tabard::pipeline
