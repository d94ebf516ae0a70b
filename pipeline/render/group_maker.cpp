#include "pipeline/render/group_maker.h"

#include "pipeline/render/current_overlay.h"
#include "pipeline/render/splice_quality.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

// The found value is kept beside the groups: finding it again would cost more than a small change of the cues.
std::optional<int> known_crf(SpliceSource const& source, GroupMaker::Options const& options)
{
    if (options.encoder.crf || !options.cache)
        return options.encoder.crf;
    auto const kept = options.cache->find(quality_key(source, options.encoder));
    return kept && kept->size() == 1 ? std::optional(static_cast<int>((*kept)[0])) : std::nullopt;
}

Result<int> crf_for(CodedFilm& film, SpliceSource const& source, GroupMaker::Options const& options)
{
    if (auto const known = known_crf(source, options))
        return *known;
    TRY_ASSIGN(int const crf, find_crf(film, source, options.encoder, options.stop));
    auto const byte = static_cast<std::byte>(crf);
    if (options.cache)
        options.cache->store(quality_key(source, options.encoder), {&byte, 1});
    return crf;
}

std::int64_t largest_touched(FilmPlan const& plan)
{
    std::int64_t largest = 0;
    for (std::size_t i = 0; i < plan.touched.size(); ++i)
        if (plan.touched[i])
            largest = std::max(largest, plan.source->groups[i].bytes);
    return largest;
}

// As many groups at once as keep `jobs` cores busy. Threads that share a group wait for each other at times, so there
// are half as many groups again.
int workers_of(FilmPlan const& plan, GroupEncoder const& encoder, Allowance const& allowance)
{
    std::size_t longest = 1;
    double pictures = 0, threads = 0;
    for (std::size_t i = 0; i < plan.touched.size(); ++i) {
        std::size_t const count = plan.touched[i] ? plan.source->groups[i].pictures : 0;
        longest = std::max(longest, count);
        pictures += static_cast<double>(count);
        threads += static_cast<double>(count) * GroupEncoder::threads(count);
    }
    // One group in work and one that waits, as they were and as they become.
    int const jobs = workers_for(allowance, encoder.bytes_in_work(longest) + 4 * largest_touched(plan));
    double const each = pictures > 0 ? threads / pictures : 1;
    double const wanted = std::min<double>(jobs, 1.5 * jobs / each);
    return static_cast<int>(
        std::clamp<std::int64_t>(std::lround(wanted), 1, std::max<std::int64_t>(1, plan.touched_groups)));
}

/// Counts what is in work, and how long.
class InWork {
public:
    InWork(std::atomic<int>& now, std::atomic<int>& most, std::atomic<std::int64_t>& busy) : m_now(now), m_busy(busy)
    {
        int const count = ++m_now;
        for (int seen = most; seen < count && !most.compare_exchange_weak(seen, count);) {
        }
    }
    ~InWork()
    {
        m_busy += (std::chrono::steady_clock::now() - m_begin).count();
        --m_now;
    }

private:
    std::atomic<int>& m_now;
    std::atomic<std::int64_t>& m_busy;
    std::chrono::steady_clock::time_point m_begin = std::chrono::steady_clock::now();
};

} // namespace

Result<std::unique_ptr<GroupMaker>> GroupMaker::create(CodedFilm& film, FilmPlan const& plan, Options const& options)
{
    SpliceSource const& source = *plan.source;
    TRY_ASSIGN(Compositor compositor, Compositor::create(film.video(), options.look));
    EncoderSettings settings = options.encoder;
    if (plan.touched_groups > 0) {
        TRY_ASSIGN(settings.crf, crf_for(film, source, options));
    }
    TRY_ASSIGN(GroupEncoder encoder, GroupEncoder::create(film, source, settings));
    GroupKeys keys(encoder.configuration(), settings, options.look, film.video(), compositor);
    if (auto const wrong = compositor.failure())
        return *wrong;
    return std::unique_ptr<GroupMaker>(
        new GroupMaker(plan, options, std::move(compositor), std::move(encoder), std::move(keys)));
}

bool GroupMaker::knows_quality(SpliceSource const& source, Options const& options)
{
    return known_crf(source, options).has_value();
}

GroupMaker::GroupMaker(FilmPlan const& plan, Options const& options, Compositor compositor, GroupEncoder encoder,
                       GroupKeys keys)
    : m_plan(plan),
      m_cache(options.cache),
      m_compositor(std::move(compositor)),
      m_encoder(std::move(encoder)),
      m_keys(std::move(keys)),
      m_largest(largest_touched(plan)),
      m_workers(workers_of(plan, m_encoder, options.allowance)),
      m_outer_stop(options.stop, [this] { m_stop.request_stop(); }),
      m_pool(m_workers)
{
}

GroupMaker::~GroupMaker() { m_stop.request_stop(); }

std::optional<CodedGroup> GroupMaker::find(std::string const& key, std::size_t group) const
{
    GroupPlace const& place = m_plan.source->groups[group];
    auto const bytes = m_cache ? m_cache->find(key) : std::nullopt;
    auto cached = bytes ? CodedGroup::parse(*bytes, m_plan.source->decoded[place.first_picture]) : std::nullopt;
    bool const fits = cached && cached->pictures.size() == place.pictures;
    return fits ? std::move(cached) : std::nullopt;
}

std::future<std::optional<CodedGroup>> GroupMaker::look_up(std::string key, std::size_t group)
{
    return m_reader.run([this, key = std::move(key), group] { return find(key, group); });
}

std::future<Result<CodedGroup>> GroupMaker::make(std::size_t number, CodedGroup group)
{
    return m_pool.run([this, number, group = std::move(group)]() -> Result<CodedGroup> {
        SpliceSource const& source = *m_plan.source;
        if (digest_of(group) != source.groups[number].digest)
            return Error{ErrorKind::io,
                         fmt::format("{}: the file changed while it was read", source.info.path.string())};
        return make_now(group);
    });
}

Result<CodedGroup> GroupMaker::make_now(CodedGroup const& group)
{
    InWork const in_work(m_at_once, m_most_at_once, m_busy);
    CurrentOverlay overlay(m_plan.runs, m_compositor);
    auto const draw = [&](DecodedPicture& picture) {
        if (SceneOverlay const* const shown = overlay.at(picture.time())) {
            shown->blend_onto(picture.writable());
            ++m_pictures_drawn;
        }
        ++m_pictures_done;
    };
    TRY_ASSIGN(CodedGroup coded, m_encoder.encode(group, draw, m_stop.get_token()));
    if (auto const wrong = m_compositor.failure())
        return *wrong;
    return coded;
}

} // namespace tabard::pipeline
