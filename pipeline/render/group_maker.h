#pragma once
#include "pipeline/machine/allowance.h"
#include "pipeline/machine/worker_pool.h"
#include "pipeline/media/splice/group_encoder.h"
#include "pipeline/render/compositor.h"
#include "pipeline/render/film_plan.h"
#include "pipeline/render/group_cache.h"
#include "pipeline/render/group_key.h"

#include <atomic>
#include <chrono>
#include <cstdint>
#include <functional>
#include <future>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>

namespace tabard::pipeline {

/// Makes the touched groups of one film: their pictures are decoded, laid over and encoded, several groups at once, or
/// they come from a cache. What a group becomes depends on its key alone, never on how many are made at once.
class GroupMaker {
public:
    struct Options {
        Look const& look;
        EncoderSettings encoder;     ///< its quality is found where it is not given
        GroupCache* cache = nullptr; ///< borrowed; none: keep none
        Allowance allowance;
        std::stop_token stop;
    };

    /// `plan.source` came from `film`; it and `options` are borrowed. Errors: as GroupEncoder::create(), Compositor and
    /// find_crf().
    static Result<std::unique_ptr<GroupMaker>> create(CodedFilm& film, FilmPlan const& plan, Options const& options);
    /// Whether create() needs no trial to find the quality.
    static bool knows_quality(SpliceSource const& source, Options const& options);
    /// Ends the work that nobody will fetch.
    ~GroupMaker();

    /// The film's decoder configuration with the sets of new groups beside its own.
    AvcConfiguration const& configuration() const { return m_encoder.configuration(); }
    /// What all groups have in common.
    KeyParts const& key_parts() const { return m_keys.parts(); }
    /// Of the film's group `group`.
    std::string key(std::size_t group) { return m_keys.key(*m_plan.source, group, m_plan.runs); }

    /// A group of the cache that fits in the place of the film's group `group`.
    std::optional<CodedGroup> find(std::string const& key, std::size_t group) const;
    /// The same, in a thread beside those that encode.
    std::future<std::optional<CodedGroup>> look_up(std::string key, std::size_t group);
    /// Makes the film's group `number` of what a GroupReader gave, in a thread of its own. Errors: as
    /// GroupEncoder::encode(), Compositor::failure(); io if the film has changed since it was planned.
    std::future<Result<CodedGroup>> make(std::size_t number, CodedGroup group);

    int workers() const { return m_workers; }
    /// What groups that wait for their turn may hold together without holding up the threads.
    std::int64_t waiting_bytes() const { return 2 * m_workers * m_largest; }
    int most_at_once() const { return m_most_at_once; }
    std::int64_t pictures_done() const { return m_pictures_done; }
    std::int64_t pictures_drawn() const { return m_pictures_drawn; }
    /// Time that all threads together spent on groups.
    std::chrono::nanoseconds busy() const { return std::chrono::nanoseconds(m_busy); }

private:
    GroupMaker(FilmPlan const& plan, Options const& options, Compositor compositor, GroupEncoder encoder,
               GroupKeys keys);
    Result<CodedGroup> make_now(CodedGroup const& group);

    FilmPlan const& m_plan;
    GroupCache* m_cache;
    Compositor m_compositor;
    GroupEncoder m_encoder;
    GroupKeys m_keys;
    std::int64_t m_largest; ///< bytes of a touched group
    int m_workers;
    std::stop_source m_stop;
    std::stop_callback<std::function<void()>> m_outer_stop;
    std::atomic<std::int64_t> m_pictures_done = 0;
    std::atomic<std::int64_t> m_pictures_drawn = 0;
    std::atomic<std::int64_t> m_busy = 0;
    std::atomic<int> m_at_once = 0;
    std::atomic<int> m_most_at_once = 0;
    WorkerPool m_pool; // last: their threads end before what they use
    WorkerPool m_reader{1};
};

} // namespace tabard::pipeline
