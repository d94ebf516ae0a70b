#include "pipeline/retime/source_choice.h"

#include "overlay/base/caseless.h"
#include "pipeline/retime/short_list.h"
#include "pipeline/retime/source_name.h"

#include <algorithm>
#include <map>
#include <set>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

using Picture = CutSource::Picture;
using Indices = std::vector<std::size_t>;

/// How much the names of a source say for the footage, rising.
enum class Likeness { other_file, none, shortened_reel, reel, clip, file };

Likeness likeness(CutSource const& source, std::string_view footage)
{
    if (!source.file.empty())
        return same_source_name(source.file, footage) && is_still(source.file) == is_still(footage)
                   ? Likeness::file
                   : Likeness::other_file;
    if (same_source_name(source.clip, footage))
        return Likeness::clip;
    if (same_source_name(source.reel, footage))
        return Likeness::reel;
    return is_reel_of(source.reel, footage) ? Likeness::shortened_reel : Likeness::none;
}

bool is_called_exactly(CutSource const& source, std::string_view name)
{
    if (name.find_first_of("/\\") != std::string_view::npos)
        return !source.file.empty() && same_path(source.file, name);
    std::string const wanted = caseless(name);
    return std::ranges::any_of(std::initializer_list<std::string const*>{&source.file, &source.clip, &source.reel},
                               [&](std::string const* own) { return caseless(*own) == wanted; });
}

Error question(std::string what) { return {ErrorKind::invalid_input, std::move(what)}; }

std::string shots(int count) { return fmt::format("{} shot{}", count, count == 1 ? "" : "s"); }

/// Chooses among the sources of one list.
class Chooser {
public:
    Chooser(std::vector<CutSource> const& sources, CutOptions const& options) : m_sources(sources), m_options(options)
    {
        for (std::size_t i = 0; i < sources.size(); ++i)
            m_likeness.push_back(likeness(sources[i], options.footage));
    }

    Result<SourceChoice> choose() const
    {
        if (!m_options.source.empty())
            return named();
        if (std::ranges::none_of(m_sources, [](CutSource const& source) { return source.uses > 0; }))
            return SourceChoice{};
        Likeness const best = best_likeness();
        if (best < Likeness::reel && is_unseen())
            return SourceChoice{}; // cut_of_shots() says why nothing is left
        if (best >= Likeness::clip)
            return by_file(best);
        if (best >= Likeness::shortened_reel)
            return by_reel(best);
        return by_what_is_left();
    }

private:
    template <class Predicate>
    Indices seen_where(Predicate const& holds) const
    {
        Indices result;
        for (std::size_t i = 0; i < m_sources.size(); ++i)
            if (m_sources[i].uses > 0 && m_sources[i].picture != Picture::generated && holds(i))
                result.push_back(i);
        return result;
    }

    Likeness best_likeness() const
    {
        Likeness best = Likeness::other_file;
        for (std::size_t const i : seen_where([](std::size_t) { return true; }))
            best = std::max(best, m_likeness[i]);
        return best;
    }

    /// Whether the footage is in the list by its name, and nowhere seen.
    bool is_unseen() const
    {
        for (std::size_t i = 0; i < m_sources.size(); ++i)
            if (m_sources[i].uses == 0 && m_sources[i].picture == Picture::filmed && m_likeness[i] >= Likeness::reel)
                return true;
        return false;
    }

    Result<SourceChoice> named() const
    {
        auto const exact = [&](std::size_t i) { return is_called_exactly(m_sources[i], m_options.source); };
        auto const alike = [&](std::size_t i) { return m_sources[i].is_called(m_options.source); };
        Indices wanted = seen_where(exact);
        if (wanted.empty())
            wanted = seen_where(alike);
        if (!wanted.empty())
            return SourceChoice{std::move(wanted), {}};
        auto const unseen = std::ranges::any_of(m_sources, [&](CutSource const& source) {
            return source.picture != Picture::generated && source.is_called(m_options.source);
        });
        if (unseen)
            return SourceChoice{};
        if (std::ranges::any_of(m_sources, [&](CutSource const& source) { return source.is_called(m_options.source); }))
            return question(fmt::format("'{}' is generated picture, which is never the footage", m_options.source));
        return question(
            fmt::format("nothing in the cut is called '{}'; it draws on {}", m_options.source, listed(m_sources)));
    }

    /// By names of files or clips. On the footage's own reel there may be more of it under other names, which only the
    /// author knows.
    Result<SourceChoice> by_file(Likeness best) const
    {
        SourceChoice choice{seen_where([&](std::size_t i) { return m_likeness[i] >= Likeness::clip; }), {}};
        TRY_VOID(settle_folders(choice, best));
        Indices const by_name = choice.sources;
        for (std::size_t const i : seen_where([&](std::size_t k) { return m_sources[k].picture == Picture::filmed; })) {
            bool const is_clip = !m_sources[i].clip.empty();
            bool const lies_beside = m_likeness[i] == Likeness::reel || m_likeness[i] == Likeness::shortened_reel;
            if (!lies_beside || (is_clip && m_likeness[i] == Likeness::shortened_reel))
                continue;
            if (is_clip || holds_other_clips(m_sources[i].reel, by_name))
                return question(fmt::format("{} is called like the footage '{}', and on reel {} there is {} too: if "
                                            "both are the footage, give --reel \"{}\", else --reel \"{}\"",
                                            listed(at(by_name)), m_options.footage, m_sources[i].reel, listed(at({i})),
                                            m_sources[i].reel, m_sources[by_name.front()].name()));
            choice.sources.push_back(i);
        }
        std::ranges::sort(choice.sources);
        return choice;
    }

    /// Files of one name in several folders: the one that is as long as the footage, or has its timecode.
    Result<void> settle_folders(SourceChoice& choice, Likeness best) const
    {
        if (best != Likeness::file || !lie_apart(choice.sources))
            return {};
        auto const fits = [&](std::size_t i) {
            CutSource const& source = m_sources[i];
            bool const is_as_long =
                source.length && m_options.footage_length && m_options.rate &&
                std::chrono::abs(*source.length - *m_options.footage_length) <= from_frame(1, *m_options.rate);
            return source.by_timecode || is_as_long;
        };
        Indices fitting = choice.sources;
        std::erase_if(fitting, [&](std::size_t i) { return !fits(i); });
        if (fitting.empty() || lie_apart(fitting))
            return question(fmt::format("several files of the cut are called like the footage '{}': {}. Say which one "
                                        "it is with --reel and its path",
                                        m_options.footage, paths(choice.sources)));
        choice.remarks.push_back(fmt::format("of several files with its name the footage is taken to be {}, which has "
                                             "its length or timecode",
                                             m_sources[fitting.front()].file));
        choice.sources = std::move(fitting);
        return {};
    }

    /// Whether a reel holds clips that are not among those that are called like the footage.
    bool holds_other_clips(std::string const& reel, Indices const& by_name) const
    {
        return !seen_where([&](std::size_t i) {
                    CutSource const& source = m_sources[i];
                    return (!source.clip.empty() || !source.file.empty()) && source.reel == reel &&
                           std::ranges::find(by_name, i) == by_name.end();
                }).empty();
    }

    bool lie_apart(Indices const& which) const
    {
        return std::ranges::any_of(which, [&](std::size_t i) {
            return !m_sources[i].file.empty() && !m_sources[which.front()].file.empty() &&
                   !same_path(m_sources[i].file, m_sources[which.front()].file);
        });
    }

    std::string paths(Indices const& which) const
    {
        std::vector<std::string> words;
        for (std::size_t const i : which)
            words.push_back(fmt::format("{} ({})", m_sources[i].file, shots(m_sources[i].uses)));
        return short_list(words);
    }

    /// By reels alone. Several clips on one reel may be several takes; one under another name is the footage only where
    /// the reel has its whole name.
    Result<SourceChoice> by_reel(Likeness best) const
    {
        SourceChoice choice{seen_where([&](std::size_t i) { return m_likeness[i] == best; }), {}};
        std::set<std::string> clips;
        for (std::size_t const i : choice.sources)
            if (!m_sources[i].clip.empty())
                clips.insert(caseless(m_sources[i].clip));
        std::string const& reel = m_sources[choice.sources.front()].reel;
        if (clips.size() > 1)
            return question(
                fmt::format("reel {} holds {}: if all of it is the footage '{}', give --reel \"{}\", else the "
                            "name of the right one",
                            reel, listed(at(choice.sources)), m_options.footage, reel));
        if (best == Likeness::reel)
            return choice;
        if (!clips.empty())
            return question(fmt::format("{} lies on reel {}, which begins like the name of the footage '{}': if it is "
                                        "the footage, give --reel \"{}\"",
                                        listed(at(choice.sources)), reel, m_options.footage, reel));
        choice.remarks.push_back(
            fmt::format("reel {} is taken for the footage '{}', whose name begins so", reel, m_options.footage));
        return choice;
    }

    Result<SourceChoice> by_what_is_left() const
    {
        Indices const filmed = seen_where([&](std::size_t i) { return m_sources[i].picture == Picture::filmed; });
        Indices const by_timecode = seen_where([&](std::size_t i) { return m_sources[i].by_timecode; });
        if (by_timecode.size() == 1)
            return SourceChoice{by_timecode,
                                {fmt::format("{} is taken for the footage '{}', whose timecode it has",
                                             m_sources[by_timecode.front()].name(), m_options.footage)}};
        if (filmed.empty() || (filmed.size() == 1 && m_options.footage.empty()))
            return SourceChoice{filmed, {}};
        if (filmed.size() == 1 && m_sources[filmed.front()].is_nameless())
            return SourceChoice{
                filmed,
                {fmt::format("the cut does not name its source: it is taken for the footage '{}'", m_options.footage)}};
        std::string const known = m_options.footage.empty()
                                      ? std::string{"the name of the footage is not known"}
                                      : fmt::format("none is called like the footage '{}'", m_options.footage);
        auto const named = std::ranges::find_if(filmed, [&](std::size_t i) { return !m_sources[i].is_nameless(); });
        return question(fmt::format("the cut draws on {} and {}. Say which one is the footage with --reel, for "
                                    "instance --reel \"{}\"",
                                    listed(m_sources), known,
                                    m_sources[named == filmed.end() ? filmed.front() : *named].name()));
    }

    std::vector<CutSource> at(Indices const& which) const
    {
        std::vector<CutSource> result;
        for (std::size_t const i : which)
            result.push_back(m_sources[i]);
        return result;
    }

    std::vector<CutSource> const& m_sources;
    CutOptions const& m_options;
    std::vector<Likeness> m_likeness;
};

} // namespace

std::string listed(std::vector<CutSource> sources)
{
    std::erase_if(sources, [](CutSource const& source) { return source.uses == 0; });
    std::ranges::stable_sort(sources, std::greater{}, &CutSource::uses);
    std::map<std::string, int> with_name;
    for (CutSource const& source : sources)
        ++with_name[source.name()];
    std::vector<std::string> words;
    for (CutSource const& source : sources) {
        bool const has_twin = with_name[source.name()] > 1;
        std::string const where = has_twin ? (source.file.empty() ? "reel " + source.reel : source.file) + ", " : "";
        words.push_back(fmt::format("{} ({}{})", source.name(), where, shots(source.uses)));
    }
    return short_list(words);
}

Result<SourceChoice> choose_sources(std::vector<CutSource> const& sources, CutOptions const& options)
{
    return Chooser(sources, options).choose();
}

} // namespace tabard::pipeline
