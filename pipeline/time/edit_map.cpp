#include "pipeline/time/edit_map.h"

#include "overlay/base/precondition.h"
#include "pipeline/time/coverage.h"

#include <algorithm>
#include <numeric>
#include <string>

namespace tabard::pipeline {
namespace {

/// part * to / from, to the nearest flick (halves away from zero).
Time scaled(Time part, Time to, Time from)
{
    if (to == from)
        return part;
    __extension__ using Wide = __int128;
    Wide const product = Wide{part.count()} * to.count();
    Wide const half = from.count() / 2;
    return Time{static_cast<std::int64_t>((product >= 0 ? product + half : product - half) / from.count())};
}

std::string seconds_text(Time time)
{
    std::string text = std::to_string(to_seconds(time));
    return text.substr(0, text.find('.') + 4) + " s";
}

bool too_far(Interval interval)
{
    return interval.from < -kLatestTime || interval.to < -kLatestTime || interval.from > kLatestTime ||
           interval.to > kLatestTime;
}

Result<void> check(KeptSpan const& span)
{
    if (too_far(span.source) || too_far(span.target))
        return Error{ErrorKind::invalid_input, "a kept stretch lies further away than any film is long"};
    bool const source_is_right =
        span.motion == Motion::freeze ? span.source.from == span.source.to : !span.source.empty();
    if (!source_is_right || span.target.empty())
        return Error{ErrorKind::invalid_input,
                     "a kept stretch at " + seconds_text(span.target.from) + " of the new film has no length"};
    return {};
}

/// Whether `second` only goes on where `first` ends, so that no seam is seen between them.
bool continues(KeptSpan const& first, KeptSpan const& second)
{
    if (first.motion != second.motion || first.target.to != second.target.from)
        return false;
    if (first.motion == Motion::freeze)
        return first.source == second.source;
    bool const touches =
        first.motion == Motion::forward ? first.source.to == second.source.from : first.source.from == second.source.to;
    // The same speed, as far as whole flicks can tell: the joined stretch has its seam at the same place.
    Time const source_length = first.source.length() + second.source.length();
    Time const target_length = first.target.length() + second.target.length();
    Time const seam = scaled(first.source.length(), target_length, source_length) - first.target.length();
    return touches && seam <= Time{1} && seam >= Time{-1};
}

std::vector<KeptSpan> joined(std::vector<KeptSpan> const& spans)
{
    std::vector<KeptSpan> result;
    for (KeptSpan const& span : spans) {
        if (result.empty() || !continues(result.back(), span)) {
            result.push_back(span);
            continue;
        }
        result.back().target.to = span.target.to;
        result.back().source.from = std::min(result.back().source.from, span.source.from);
        result.back().source.to = std::max(result.back().source.to, span.source.to);
    }
    return result;
}

/// The part of `span` that `stretch` of the old film leaves; empty target where nothing is left.
KeptSpan clipped(KeptSpan const& span, Interval stretch)
{
    if (span.motion == Motion::freeze)
        return stretch.contains(span.source.from) ? span : KeptSpan{};
    Interval const source = overlap(span.source, stretch);
    if (source.empty())
        return {};
    Time const one = span.forth(source.from);
    Time const other = span.forth(source.to);
    return {source, {std::min(one, other), std::max(one, other)}, span.motion};
}

Motion combined(Motion first, Motion second)
{
    if (first == Motion::freeze || second == Motion::freeze)
        return Motion::freeze;
    return first == second ? Motion::forward : Motion::reverse;
}

} // namespace

Speed KeptSpan::speed() const
{
    std::int64_t const common = std::gcd(source.length().count(), target.length().count());
    return {source.length().count() / common, target.length().count() / common};
}

Time KeptSpan::forth(Time time) const
{
    switch (motion) {
    case Motion::forward:
        return target.from + scaled(time - source.from, target.length(), source.length());
    case Motion::reverse:
        return target.to - scaled(time - source.from, target.length(), source.length());
    case Motion::freeze:
        return target.from;
    }
    return target.from;
}

Time KeptSpan::back(Time time) const
{
    switch (motion) {
    case Motion::forward:
        return source.from + scaled(time - target.from, source.length(), target.length());
    case Motion::reverse:
        return source.to - scaled(time - target.from, source.length(), target.length());
    case Motion::freeze:
        return source.from;
    }
    return source.from;
}

std::optional<KeptSpan> composed(KeptSpan const& first, KeptSpan const& second)
{
    KeptSpan const seen = clipped(second, first.target);
    if (seen.target.empty())
        return std::nullopt;
    Time const one = first.back(seen.source.from);
    Time const other = first.back(seen.source.to);
    Motion const motion = combined(first.motion, second.motion);
    Interval source{std::min(one, other), std::max(one, other)};
    // Running backwards, a picture comes on at the end of its stretch of the old film: what is held lies before that.
    if (first.motion == Motion::reverse && second.motion == Motion::freeze)
        source = {one - Time{1}, one - Time{1}};
    if (motion != Motion::freeze && source.empty())
        return std::nullopt;
    return KeptSpan{source, seen.target, motion};
}

EditMap::EditMap(std::vector<KeptSpan> spans) : m_spans(joined(spans))
{
    m_by_source.resize(m_spans.size());
    for (std::size_t i = 0; i < m_spans.size(); ++i)
        m_by_source[i].span = i;
    std::ranges::stable_sort(m_by_source, {}, [this](BySource const& entry) { return m_spans[entry.span].source; });
    Time reach = -kLatestTime;
    for (BySource& entry : m_by_source)
        entry.reach = reach = std::max(reach, m_spans[entry.span].source.to);
}

Result<EditMap> EditMap::create(std::vector<KeptSpan> spans)
{
    for (KeptSpan const& span : spans)
        TRY_VOID(check(span));
    std::ranges::sort(spans, {}, &KeptSpan::target);
    for (std::size_t i = 1; i < spans.size(); ++i) {
        if (spans[i].target.from < spans[i - 1].target.to)
            return Error{ErrorKind::invalid_input,
                         "two kept stretches overlap at " + seconds_text(spans[i].target.from) + " of the new film"};
    }
    return EditMap{std::move(spans)};
}

EditMap EditMap::identity(Time duration)
{
    PRECONDITION(duration > Time{0} && duration <= kLatestTime);
    Interval const whole{Time{0}, duration};
    return EditMap{{{whole, whole, Motion::forward}}};
}

std::vector<Time> EditMap::map(Time time) const
{
    std::vector<Time> result;
    auto entry = std::ranges::lower_bound(m_by_source, time, {}, &BySource::reach);
    for (; entry != m_by_source.end() && m_spans[entry->span].source.from <= time; ++entry) {
        KeptSpan const& span = m_spans[entry->span];
        if (span.motion == Motion::freeze ? span.source.from == time : span.source.contains(time))
            result.push_back(span.forth(time));
    }
    std::ranges::sort(result);
    return result;
}

std::vector<KeptSpan> EditMap::map(Interval stretch) const
{
    std::vector<KeptSpan> result;
    if (stretch.empty())
        return result;
    auto entry = std::ranges::lower_bound(m_by_source, stretch.from, {}, &BySource::reach);
    for (; entry != m_by_source.end() && m_spans[entry->span].source.from < stretch.to; ++entry) {
        KeptSpan const piece = clipped(m_spans[entry->span], stretch);
        if (!piece.target.empty())
            result.push_back(piece);
    }
    std::ranges::sort(result, {}, &KeptSpan::target);
    return result;
}

EditMap EditMap::then(EditMap const& later) const
{
    std::vector<KeptSpan> result;
    for (KeptSpan const& first : m_spans) {
        for (KeptSpan const& second : later.map(first.target)) {
            if (auto const both = composed(first, second))
                result.push_back(*both);
        }
    }
    std::ranges::sort(result, {}, &KeptSpan::target);
    return EditMap{std::move(result)};
}

EditMap EditMap::inverse() const
{
    std::vector<KeptSpan> result;
    Coverage covered;
    for (KeptSpan const& span : m_spans) {
        if (span.motion == Motion::freeze)
            continue;
        for (Interval const& part : covered.add(span.source)) {
            KeptSpan const piece = clipped(span, part);
            if (!piece.target.empty())
                result.push_back({piece.target, piece.source, piece.motion});
        }
    }
    std::ranges::sort(result, {}, &KeptSpan::target);
    return EditMap{std::move(result)};
}

Fate fate_of(Interval cue, std::vector<KeptSpan> const& pieces)
{
    if (pieces.empty())
        return Fate::lost;
    std::size_t runs = 1;
    for (std::size_t i = 1; i < pieces.size(); ++i)
        runs += pieces[i].target.from > pieces[i - 1].target.to ? 1 : 0;
    std::vector<Interval> sources;
    for (KeptSpan const& piece : pieces)
        if (piece.motion != Motion::freeze)
            sources.push_back(piece.source);
    std::ranges::sort(sources);
    Time left{0};
    for (std::size_t i = 0; i < sources.size(); ++i) {
        if (i > 0 && sources[i].from < sources[i - 1].to)
            return Fate::repeated;
        left += sources[i].length();
    }
    if (runs > 1)
        return Fate::split;
    return left == cue.length() ? Fate::moved : Fate::trimmed;
}

} // namespace tabard::pipeline
