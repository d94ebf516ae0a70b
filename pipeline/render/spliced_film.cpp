#include "pipeline/render/spliced_film.h"

#include "pipeline/machine/processors.h"
#include "pipeline/media/splice/group_reader.h"
#include "pipeline/media/splice/splice_check.h"
#include "pipeline/media/splice/splice_writer.h"
#include "pipeline/render/group_maker.h"
#include "pipeline/render/group_pins.h"
#include "pipeline/render/render_speed.h"
#include "pipeline/render/whole_sound.h"

#include <algorithm>
#include <deque>
#include <filesystem>
#include <future>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using namespace std::chrono_literals;

constexpr std::int64_t kLeastWaitingBytes = 64'000'000;

/// A group on its way to the film: ready, or still in the pool.
struct Pending {
    CodedGroup ready;
    std::future<Result<GroupMaker::Made>> coming; ///< valid where it is in the pool
    std::string key;                              ///< then: its place in the cache
    std::int64_t bytes = 0;
    bool encoded = false; ///< not the film's own
};

class Splicer {
public:
    Splicer(FilmPlan const& plan, SplicedFilmOptions const& options, GroupMaker& maker, SpliceWriter writer,
            FilmRoom& room)
        : m_plan(plan),
          m_options(options),
          m_maker(maker),
          m_writer(std::move(writer)),
          m_room(room),
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
        if (m_options.cache)
            keep_whole_sound(written.whole_sound, *m_options.cache);
        m_report.pictures = written.pictures;
        m_report.bytes = written.bytes;
        m_report.notes = m_plan.source->info.notes;
        m_report.notes.insert(m_report.notes.end(), written.notes.begin(), written.notes.end());
        m_report.groups = static_cast<std::int64_t>(m_plan.touched.size());
        m_report.spliced = true;
        m_report.at_once = m_maker.most_at_once();
        m_report.drawn_pictures += m_maker.pictures_drawn();
        if (m_not_kept > 0)
            m_report.notes.push_back(fmt::format("{} of the encoded groups were not kept in the cache '{}': {}",
                                                 m_not_kept, m_options.cache->folder().string(), m_why_not_kept));
        return m_report;
    }
    std::vector<std::string> const& keys() const { return m_keys; } ///< of the touched groups
    /// None where too little was encoded to tell.
    std::optional<RenderSpeed> speed(std::chrono::duration<double> whole) const
    {
        constexpr std::int64_t kLeastPictures = 10;
        if (m_maker.pictures_done() < kLeastPictures)
            return std::nullopt;
        // Of threads that share cores each takes longer.
        double const share = std::min(1.0, static_cast<double>(usable_processors()) / m_maker.workers());
        std::chrono::duration<double> const busy = m_maker.busy();
        return RenderSpeed{share * busy.count() / static_cast<double>(m_maker.pictures_done()),
                           std::max(0.0, (whole - m_waited).count()) /
                               static_cast<double>(std::max<std::int64_t>(m_report.bytes, 1))};
    }
    SpliceExpectation expected(AvcConfiguration const& configuration)
    {
        m_expected.configuration = configuration;
        return std::move(m_expected);
    }

private:
    void take(CodedGroup group, bool touched)
    {
        Pending pending;
        pending.encoded = touched;
        pending.bytes = static_cast<std::int64_t>(group.bytes());
        m_waiting_bytes += pending.bytes;
        if (!touched) {
            pending.ready = std::move(group);
        } else {
            pending.key = m_maker.key(group);
            m_keys.push_back(pending.key);
            pending.coming = m_maker.make(pending.key, std::move(group));
            ++m_in_work;
        }
        m_pending.push_back(std::move(pending));
    }

    void take_from_cache(CodedGroup const& group)
    {
        ++m_report.from_cache;
        m_pictures_to_do -= static_cast<std::int64_t>(group.pictures.size());
        Ratio const clock = m_plan.source->info.video->clock;
        for (CodedPicture const& picture : group.pictures)
            m_report.drawn_pictures += m_plan.runs.at(from_ticks(picture.shown, clock.num, clock.den)) != nullptr;
    }

    bool is_full() const
    {
        return !m_pending.empty() && (m_in_work >= 2 * static_cast<std::size_t>(m_maker.workers()) ||
                                      m_waiting_bytes > std::max(kLeastWaitingBytes, m_maker.waiting_bytes()));
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
            auto const begin = std::chrono::steady_clock::now();
            while (front.coming.wait_for(50ms) != std::future_status::ready)
                tell_progress();
            m_waited += std::chrono::steady_clock::now() - begin;
            TRY_ASSIGN(GroupMaker::Made made, front.coming.get());
            front.ready = std::move(made.group);
            --m_in_work;
            made.from_cache ? take_from_cache(front.ready) : keep(front);
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
        ++m_report.encoded;
        if (!m_options.cache)
            return;
        auto const bytes = static_cast<std::int64_t>(group.ready.bytes());
        std::int64_t const needed = bytes + m_size.still_to_come();
        m_room.need(needed);
        if (!m_room.allows(bytes, needed))
            count_as_not_kept("there is no room");
        else if (auto const stored = m_options.cache->put(group.key, group.ready.serialise()); !stored)
            count_as_not_kept(stored.error().what);
    }

    void count_as_not_kept(std::string why)
    {
        ++m_not_kept;
        m_why_not_kept = std::move(why);
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
        double const encoded =
            m_pictures_to_do > 0 ? static_cast<double>(m_maker.pictures_done()) / static_cast<double>(m_pictures_to_do)
                                 : 1;
        double const put = static_cast<double>(m_groups_put) / static_cast<double>(m_plan.touched.size());
        m_options.progress(std::clamp(0.95 * encoded + 0.05 * put, 0.0, 1.0));
    }

    FilmPlan const& m_plan;
    SplicedFilmOptions const& m_options;
    GroupMaker& m_maker;
    SpliceWriter m_writer;
    FilmRoom& m_room;
    FilmSize m_size;
    std::deque<Pending> m_pending;
    std::int64_t m_not_kept = 0;
    std::string m_why_not_kept; ///< the last of them
    std::size_t m_in_work = 0;
    std::int64_t m_waiting_bytes = 0;
    std::size_t m_groups_put = 0;
    bool m_last_encoded = false;
    std::int64_t m_pictures_to_do = 0;
    std::chrono::duration<double> m_waited{0}; ///< for groups that were being encoded
    std::vector<std::string> m_keys;
    SpliceExpectation m_expected;
    FilmReport m_report;
};

} // namespace

Result<FilmReport> write_spliced(CodedFilm& film, FilmPlan const& plan, SplicedFilmOptions const& options,
                                 FilmRoom& room, fs::path const& target)
{
    auto const begin = std::chrono::steady_clock::now();
    GroupMaker::Options const making{options.look, options.write.encoder, options.cache, options.allowance,
                                     options.write.stop};
    TRY_ASSIGN(auto const maker, GroupMaker::create(film, plan, making));
    WriteOptions write = options.write;
    if (options.cache)
        write.whole_sound = known_whole_sound(film, *options.cache);
    TRY_ASSIGN(SpliceWriter writer, SpliceWriter::create(target, film, maker->configuration(), write));
    Splicer splicer(plan, options, *maker, std::move(writer), room);
    TRY_VOID(splicer.put_all(film));
    TRY_ASSIGN(FilmReport report, splicer.finish());
    TRY_VOID(check_spliced(target, *plan.source, splicer.expected(maker->configuration()), options.write.stop));
    if (options.cache) {
        unpin_plan(options.cache->folder(), splicer.keys());
        if (auto const speed = splicer.speed(std::chrono::steady_clock::now() - begin))
            note_speed(options.cache->folder(), options.write.encoder, film.video(), *speed);
    }
    return report;
}

} // namespace tabard::pipeline
