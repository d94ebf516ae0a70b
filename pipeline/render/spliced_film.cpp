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
#include <map>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

namespace fs = std::filesystem;
using namespace std::chrono_literals;

constexpr std::int64_t kLeastWaitingBytes = 64'000'000;

constexpr std::size_t kLookedUpAhead = 4; ///< groups

/// A group on its way to the film: ready, or being encoded.
struct Pending {
    std::size_t number = 0;
    CodedGroup ready;
    std::future<Result<CodedGroup>> coming; ///< valid where it is being encoded
    std::int64_t bytes = 0;
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
        for (std::size_t i = 0; i < plan.touched.size(); ++i) {
            if (!plan.touched[i])
                continue;
            m_keys.emplace(i, maker.key(i));
            m_pictures_to_do += static_cast<std::int64_t>(plan.source->groups[i].pictures);
        }
    }

    Result<void> put_all(CodedFilm& film)
    {
        m_room.need(m_size.still_to_come());
        TRY_VOID(begin_early(film));
        TRY_ASSIGN(GroupReader reader, GroupReader::open(film, *m_plan.source));
        for (std::size_t i = 0; i < m_plan.touched.size(); ++i) {
            look_ahead_of(i);
            TRY_VOID(take(reader, i));
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
    /// Of the touched groups.
    std::vector<std::string> keys() const
    {
        std::vector<std::string> keys;
        for (auto const& [number, key] : m_keys)
            keys.push_back(key);
        return keys;
    }
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
    std::size_t most_in_work() const { return 2 * static_cast<std::size_t>(m_maker.workers()); }

    // Wherever in the film the first groups are that the cache has not: all before them is written meanwhile.
    Result<void> begin_early(CodedFilm& film)
    {
        TRY_ASSIGN(GroupReader reader, GroupReader::open(film, *m_plan.source));
        for (auto key = m_keys.begin(); key != m_keys.end() && m_in_work < most_in_work(); ++key) {
            if (m_options.cache && m_options.cache->has(key->second))
                continue;
            TRY_ASSIGN(Pending begun, read(reader, key->first));
            m_early.emplace(key->first, encode(std::move(begun)));
        }
        return {};
    }

    void look_ahead_of(std::size_t group)
    {
        for (; m_looked_up < std::min(group + kLookedUpAhead, m_plan.touched.size()); ++m_looked_up)
            if (m_options.cache && m_plan.touched[m_looked_up] && !m_early.contains(m_looked_up))
                m_cached.emplace(m_looked_up, m_maker.look_up(m_keys.at(m_looked_up), m_looked_up));
    }

    Result<void> take(GroupReader& reader, std::size_t group)
    {
        if (auto early = m_early.extract(group)) {
            m_pending.push_back(std::move(early.mapped()));
            return {};
        }
        auto const looked_up = m_cached.extract(group);
        if (auto cached = looked_up ? looked_up.mapped().get() : std::nullopt) {
            count_as_cached(*cached);
            m_pending.push_back(waiting(group, *std::move(cached)));
            return {};
        }
        TRY_ASSIGN(Pending pending, read(reader, group));
        m_pending.push_back(m_plan.touched[group] ? encode(std::move(pending)) : std::move(pending));
        return {};
    }

    Result<Pending> read(GroupReader& reader, std::size_t number)
    {
        TRY_VOID(reader.skip_to(number));
        TRY_ASSIGN(auto group, reader.next());
        return waiting(number, *std::move(group));
    }

    Pending waiting(std::size_t number, CodedGroup group)
    {
        auto const bytes = static_cast<std::int64_t>(group.bytes());
        m_waiting_bytes += bytes;
        return {number, std::move(group), {}, bytes};
    }

    Pending encode(Pending pending)
    {
        pending.coming = m_maker.make(pending.number, std::move(pending.ready));
        ++m_in_work;
        return pending;
    }

    void count_as_cached(CodedGroup const& group)
    {
        ++m_report.from_cache;
        m_pictures_to_do -= static_cast<std::int64_t>(group.pictures.size());
        Ratio const clock = m_plan.source->info.video->clock;
        for (CodedPicture const& picture : group.pictures)
            m_report.drawn_pictures += m_plan.runs.at(from_ticks(picture.shown, clock.num, clock.den)) != nullptr;
    }

    bool is_full() const
    {
        return !m_pending.empty() &&
               (m_in_work >= most_in_work() || m_waiting_bytes > std::max(kLeastWaitingBytes, m_maker.waiting_bytes()));
    }
    static bool is_encoded(Pending const& group)
    {
        return group.coming.valid() && group.coming.wait_for(0s) == std::future_status::ready;
    }
    bool front_is_ready() const
    {
        return !m_pending.empty() && (!m_pending.front().coming.valid() || is_encoded(m_pending.front()));
    }

    Result<void> put_front()
    {
        Pending& front = m_pending.front();
        if (front.coming.valid()) {
            auto const begin = std::chrono::steady_clock::now();
            while (front.coming.wait_for(50ms) != std::future_status::ready) {
                tell_progress();
                TRY_VOID(keep_early());
            }
            m_waited += std::chrono::steady_clock::now() - begin;
            TRY_VOID(receive(front));
        }
        TRY_VOID(keep_early());
        tell_progress();
        m_size.put(static_cast<std::int64_t>(front.ready.bytes()));
        note_expected(front);
        TRY_VOID(m_writer.write(front.ready));
        m_waiting_bytes -= front.bytes;
        m_pending.pop_front();
        return {};
    }

    // Whoever stops the render before their turn comes need not encode them again.
    Result<void> keep_early()
    {
        for (auto& [number, group] : m_early)
            if (is_encoded(group))
                TRY_VOID(receive(group));
        return {};
    }

    Result<void> receive(Pending& group)
    {
        TRY_ASSIGN(group.ready, group.coming.get());
        --m_in_work;
        keep(group);
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
        else if (auto const stored = m_options.cache->put(m_keys.at(group.number), group.ready.serialise()); !stored)
            count_as_not_kept(stored.error().what);
    }

    void count_as_not_kept(std::string why)
    {
        ++m_not_kept;
        m_why_not_kept = std::move(why);
    }

    void note_expected(Pending const& group)
    {
        bool const touched = m_plan.touched[group.number];
        if (m_groups_put > 0 && touched != m_last_touched)
            m_expected.seams.push_back(m_groups_put);
        m_last_touched = touched;
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
    bool m_last_touched = false;
    std::int64_t m_pictures_to_do = 0;
    std::chrono::duration<double> m_waited{0};                              ///< for groups that were being encoded
    std::map<std::size_t, std::string> m_keys;                              ///< in the cache, of the touched groups
    std::map<std::size_t, Pending> m_early;                                 ///< begun before their turn came
    std::map<std::size_t, std::future<std::optional<CodedGroup>>> m_cached; ///< being looked up
    std::size_t m_looked_up = 0;                                            ///< all groups before it
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
