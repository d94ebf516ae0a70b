#include "pipeline/render/film_share.h"

#include "pipeline/media/splice/group_reader.h"
#include "pipeline/render/group_cache.h"
#include "pipeline/render/group_maker.h"
#include "pipeline/render/group_pins.h"

#include <algorithm>
#include <charconv>
#include <deque>
#include <future>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

using namespace std::chrono_literals;

std::optional<int> whole_number(std::string_view text)
{
    int number = 0;
    auto const [end, failed] = std::from_chars(text.data(), text.data() + text.size(), number);
    return failed == std::errc{} && end == text.data() + text.size() ? std::optional(number) : std::nullopt;
}

Result<void> check_expected(ExpectedKeys const& expected, KeyParts const& here, std::vector<std::string> const& keys)
{
    std::string what;
    auto const note = [&](std::string const& there, std::string const& own, char const* words) {
        if (there != own)
            what += fmt::format("{}{}", what.empty() ? "" : "; ", words);
    };
    if (expected.parts.encoder == here.encoder) // else the headers of new groups differ with it
        note(expected.parts.footage, here.footage, "the footage (its headers) or how this version of tabard renders");
    note(expected.parts.encoder, here.encoder, "the encoder: its version, --crf, --preset or the quality it found");
    note(expected.parts.look, here.look, "the look: theme, --left-handed, corner, capo");
    note(expected.parts.drawing, here.drawing, "how letters come out: fonts, drawing libraries");
    if (what.empty() && (expected.parts.common != here.common || expected.keys != keys))
        what = "what is shown or what was filmed: the cue file, --level, a cut, the frames of the footage";
    if (what.empty())
        return {};
    return Error{ErrorKind::invalid_input, "this machine would make other groups than the plan says. Compare " + what};
}

class ShareMaker {
public:
    ShareMaker(FilmJob const& job, FilmPlan const& plan, GroupMaker& maker, GroupCache& cache)
        : m_job(job), m_plan(plan), m_maker(maker), m_cache(cache)
    {
        for (std::size_t i = 0; i < plan.touched.size(); ++i)
            if (plan.touched[i])
                m_keys.push_back(maker.key(i));
    }

    /// Of all touched groups, in order.
    std::vector<std::string> const& keys() const { return m_keys; }

    Result<ShareReport> make(CodedFilm& film, Share share)
    {
        std::vector<int> const shares = shares_of(m_plan, share.of);
        m_report.touched = m_plan.touched_groups;
        m_report.groups = std::count(shares.begin(), shares.end(), share.number);
        TRY_ASSIGN(GroupReader reader, GroupReader::open(film, *m_plan.source));
        std::size_t touched = 0;
        for (std::size_t i = 0; i < shares.size(); ++i) {
            std::size_t const at = touched;
            touched += m_plan.touched[i];
            if (shares[i] != share.number)
                continue;
            if (m_maker.find(m_keys[at], i)) {
                ++m_report.from_cache;
                tell_progress();
                continue;
            }
            TRY_VOID(reader.skip_to(i));
            TRY_ASSIGN(auto group, reader.next());
            TRY_VOID(take(i, *std::move(group), m_keys[at]));
        }
        while (!m_pending.empty())
            TRY_VOID(keep_first());
        return m_report;
    }

private:
    struct Pending {
        std::future<Result<CodedGroup>> coming;
        std::string key;
    };

    Result<void> take(std::size_t number, CodedGroup group, std::string const& key)
    {
        m_pending.push_back({m_maker.make(number, std::move(group)), key});
        while (m_pending.size() >= 2 * static_cast<std::size_t>(m_maker.workers()))
            TRY_VOID(keep_first());
        return {};
    }

    Result<void> keep_first()
    {
        Pending& first = m_pending.front();
        while (first.coming.wait_for(50ms) != std::future_status::ready)
            tell_progress();
        TRY_ASSIGN(CodedGroup const made, first.coming.get());
        TRY_VOID(m_cache.put(first.key, made.serialise()));
        pin_plan(m_cache.folder(), m_keys); // once more: a long share outlives no pin
        ++m_report.encoded;
        m_report.bytes += static_cast<std::int64_t>(made.bytes());
        m_pending.pop_front();
        tell_progress();
        return {};
    }

    void tell_progress() const
    {
        if (m_job.progress && m_report.groups > 0)
            m_job.progress(static_cast<double>(m_report.encoded + m_report.from_cache) /
                           static_cast<double>(m_report.groups));
    }

    FilmJob const& m_job;
    FilmPlan const& m_plan;
    GroupMaker& m_maker;
    GroupCache& m_cache;
    std::vector<std::string> m_keys;
    std::deque<Pending> m_pending;
    ShareReport m_report;
};

} // namespace

Result<Share> parse_share(std::string const& text)
{
    std::size_t const slash = std::min(text.find('/'), text.size());
    auto const number = whole_number(std::string_view(text).substr(0, slash));
    auto const of = whole_number(std::string_view(text).substr(std::min(slash + 1, text.size())));
    if (!number || !of || *number < 1 || *of < *number)
        return Error{ErrorKind::invalid_input,
                     fmt::format("'{}' is no share: write K/N, such as 2/4 for the second of four", text)};
    return Share{*number, *of};
}

std::vector<int> shares_of(FilmPlan const& plan, int of)
{
    std::vector<int> shares(plan.touched.size());
    std::vector<std::size_t> pictures(static_cast<std::size_t>(of));
    for (std::size_t i = 0; i < shares.size(); ++i) {
        if (!plan.touched[i])
            continue;
        auto const least = std::min_element(pictures.begin(), pictures.end());
        *least += plan.source->groups[i].pictures;
        shares[i] = 1 + static_cast<int>(least - pictures.begin());
    }
    return shares;
}

Result<ShareReport> render_share(FilmJob const& job, Share share, std::optional<ExpectedKeys> const& expected)
{
    if (!job.cache)
        return Error{ErrorKind::not_found, "a share needs a cache: set TABARD_CACHE to a folder that all machines see"};
    TRY_ASSIGN(CodedFilm film, CodedFilm::open(job.footage, job.stop));
    TRY_ASSIGN(FilmPlan const plan, plan_film(job, film));
    if (!plan.source)
        return Error{ErrorKind::unsupported,
                     fmt::format("'{}' cannot be rendered in shares: all of the film is encoded, because {}",
                                 job.footage.string(), plan.why_whole)};
    GroupCache cache(*job.cache);
    TRY_ASSIGN(auto const maker,
               GroupMaker::create(film, plan, {job.look, job.write.encoder, &cache, job.allowance, job.stop}));
    ShareMaker shared(job, plan, *maker, cache);
    if (expected)
        TRY_VOID(check_expected(*expected, maker->key_parts(), shared.keys()));
    if (plan.touched_groups > 0)
        pin_plan(cache.folder(), shared.keys());
    return shared.make(film, share);
}

} // namespace tabard::pipeline
