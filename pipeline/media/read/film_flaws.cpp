#include "pipeline/media/read/film_flaws.h"

#include "pipeline/machine/worker_pool.h"
#include "pipeline/media/read/clock_watch.h"
#include "pipeline/media/read/coded_order.h"
#include "pipeline/media/read/flaw_pass.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <future>
#include <map>
#include <span>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::pipeline {
namespace {

/// A coded picture, in decoding order.
struct Seen {
    std::int64_t shown = 0;
    std::int64_t missing = 0; ///< see CodedOrder
    std::optional<std::int64_t> order;
    bool begins = false;
    bool complaint = false; ///< of the container's reader, on the way to it
    bool whole = true;
};

struct Reading {
    std::vector<Seen> pictures;
    bool complaint_at_end = false;
    bool times_known = true;
};

CodedOrder order_for(AVCodecParameters const& parameters)
{
    auto const codec = parameters.codec_id == AV_CODEC_ID_H264   ? CodedOrder::Codec::h264
                       : parameters.codec_id == AV_CODEC_ID_HEVC ? CodedOrder::Codec::hevc
                                                                 : CodedOrder::Codec::other;
    return {codec, std::as_bytes(std::span(parameters.extradata, static_cast<std::size_t>(parameters.extradata_size)))};
}

/// What was read, and how often the container's reader had complained then.
struct Read {
    Result<std::optional<av::PictureStream::Next>> next;
    std::int64_t complaints;

    bool is_end() const { return !next || !*next; }
};

/// Pictures of a film while a thread reads those after them: to read costs about as much as to look.
class ReadAhead {
public:
    explicit ReadAhead(av::PictureStream& pictures) : m_pictures(pictures) { begin(); }

    /// Not after the end.
    Read const& next()
    {
        if (++m_at < m_batch.size())
            return m_batch[m_at];
        m_at = 0;
        m_batch = m_coming.get();
        if (!m_batch.back().is_end())
            begin();
        return m_batch.front();
    }

private:
    void begin()
    {
        m_coming = m_thread.run([this] { return read_batch(); });
    }
    std::vector<Read> read_batch()
    {
        constexpr std::size_t kMostPictures = 32, kMostBytes = 4'000'000;
        std::vector<Read> batch;
        std::size_t bytes = 0;
        do {
            auto next = m_pictures.next();
            bytes += next && *next ? (*next)->picture.data.size() : 0;
            batch.push_back({std::move(next), m_pictures.complaints()});
        } while (!batch.back().is_end() && batch.size() < kMostPictures && bytes < kMostBytes);
        return batch;
    }

    av::PictureStream& m_pictures;
    std::vector<Read> m_batch;
    std::size_t m_at = 0;
    std::future<std::vector<Read>> m_coming;
    WorkerPool m_thread{1}; // last: it ends before what it uses
};

Result<Reading> read_all(av::PictureStream& pictures, av::PictureWatcher const& watcher)
{
    CodedOrder coded = order_for(*pictures.stream().codecpar);
    ClockWatch watch{kLongestStill};
    auto const time_in = [clock = pictures.stream().time_base](std::int64_t ticks) {
        return av::time_of(ticks, clock);
    };
    Reading reading;
    std::int64_t complaints = 0;
    std::int64_t missing = 0; // among those that an edit list leaves out, which others may need
    ReadAhead ahead(pictures);
    while (true) {
        Read const& read = ahead.next();
        auto const& next = read.next;
        if (!next && next.error().kind == ErrorKind::interrupted)
            return next.error();
        if (watcher)
            watcher(next);
        bool const complaint = read.complaints != complaints;
        if (read.is_end()) {
            reading.complaint_at_end = complaint || !next;
            return reading;
        }
        complaints = read.complaints;
        av::PictureStream::Next const& picture = **next;
        CodedOrder::Picture const found = coded.add(picture.picture.data);
        missing += found.missing;
        if (picture.left_out)
            continue;
        reading.times_known = reading.times_known && picture.shown_known;
        if (picture.decoded_known || picture.shown_known)
            watch.add(time_in(picture.decoded_known ? picture.picture.decoded : picture.picture.shown));
        if (watch.restart())
            return clock_restarted(*watch.restart(), pictures.info().path);
        reading.pictures.push_back({picture.picture.shown, std::exchange(missing, 0), found.order, found.begins,
                                    complaint, found.whole && picture.whole});
    }
}

/// The steps between pictures as they are shown.
class Rhythm {
public:
    Rhythm(std::vector<Seen> const& pictures, AVRational clock)
    {
        for (Seen const& picture : pictures)
            m_shown.push_back(picture.shown);
        std::sort(m_shown.begin(), m_shown.end());
        std::vector<std::int64_t> steps;
        for (std::size_t i = 1; i < m_shown.size(); ++i)
            steps.push_back(m_shown[i] - m_shown[i - 1]);
        if (steps.empty())
            return;
        auto const middle = steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2);
        std::nth_element(steps.begin(), middle, steps.end());
        m_step = std::max<std::int64_t>(1, *middle);
        // Containers round to a millisecond, to either side.
        std::int64_t const rounding = 2 * std::max<std::int64_t>(1, av_rescale_q(1, {1, 1000}, clock));
        auto const others =
            std::ranges::count_if(steps, [&](std::int64_t step) { return std::abs(step - m_step) > rounding; });
        m_even = others * 50 <= static_cast<std::ptrdiff_t>(steps.size()) || others <= 1;
    }

    /// All but a few steps are alike.
    bool is_even() const { return m_even; }

    struct Gap {
        std::int64_t from = 0;
        std::int64_t to = 0;
        std::int64_t pictures = 0; ///< that would fit
    };
    /// The steps near a picture that is shown then which are longer than one picture's.
    std::vector<Gap> gaps_near(std::int64_t shown) const
    {
        constexpr std::ptrdiff_t kNear = 4; // so far from their place in the file pictures are shown
        auto const at = std::ranges::lower_bound(m_shown, shown) - m_shown.begin();
        auto const last = std::min(at + kNear, std::ssize(m_shown) - 1);
        std::vector<Gap> gaps;
        for (auto i = std::max<std::ptrdiff_t>(0, at - kNear); i < last; ++i) {
            std::int64_t const from = m_shown[static_cast<std::size_t>(i)];
            std::int64_t const to = m_shown[static_cast<std::size_t>(i + 1)];
            if (2 * (to - from) > 3 * m_step)
                gaps.push_back({from, to, (to - from + m_step / 2) / m_step - 1});
        }
        return gaps;
    }

private:
    std::vector<std::int64_t> m_shown;
    std::int64_t m_step = 1;
    bool m_even = false;
};

class Judge {
public:
    Judge(Reading const& reading, AVRational clock)
        : m_pictures(reading.pictures), m_clock(clock), m_rhythm(reading.pictures, clock)
    {
        for (std::size_t i = 0; i < m_pictures.size(); ++i)
            judge(i);
        judge_orders();
        if (reading.complaint_at_end && !m_pictures.empty())
            add(FilmFlaw::Kind::file, highest_shown(), highest_shown(), 0);
    }

    std::vector<FilmFlaw> flaws() &&
    {
        std::ranges::stable_sort(m_flaws, {}, &FilmFlaw::from);
        return std::move(m_flaws);
    }

private:
    // What happens all the time is a habit of the program that made the film, not damage.
    bool is_rare(auto const& has) const
    {
        return 10 * std::ranges::count_if(m_pictures, has) <= std::ssize(m_pictures) + 20;
    }

    void judge(std::size_t i)
    {
        Seen const& picture = m_pictures[i];
        if (!picture.whole && m_rare_damage)
            count_at(FilmFlaw::Kind::damaged, picture.shown);
        if (picture.missing == 0 && !picture.complaint)
            return;
        if (add_gaps_near(picture.shown))
            return;
        std::int64_t const before = i > 0 ? m_pictures[i - 1].shown : picture.shown;
        if (picture.missing > 0 && (m_rare_gaps || picture.complaint))
            add(FilmFlaw::Kind::missing, std::min(before, picture.shown), std::max(before, picture.shown), 0);
        else if (picture.complaint && m_rare_complaints)
            add(FilmFlaw::Kind::file, std::min(before, picture.shown), std::max(before, picture.shown), 0);
    }

    // Pictures that no other needs leave a hole in the order of those beside them. Encoders may leave one for a picture
    // that the camera skipped, so it counts in a film of even rhythm alone.
    void judge_orders()
    {
        std::map<std::int64_t, std::int64_t> steps;
        std::size_t first = 0;
        std::vector<std::pair<Seen const*, std::int64_t>> wide; // the picture after, and the step
        for (std::size_t i = 1; i <= m_pictures.size(); ++i) {
            if (i < m_pictures.size() && !m_pictures[i].begins)
                continue;
            note_steps(first, i, steps, wide);
            first = i;
        }
        if (10 * std::ssize(m_moved) <= std::ssize(m_pictures) + 20)
            for (Seen const* picture : m_moved)
                count_at(FilmFlaw::Kind::moved, picture->shown);
        auto const usual = std::ranges::max_element(steps, {}, [](auto const& step) { return step.second; });
        if (usual == steps.end() || !m_rhythm.is_even())
            return;
        for (auto const& [after, step] : wide)
            if (step > usual->first)
                add_gaps_near(after->shown);
    }

    void note_steps(std::size_t first, std::size_t end, std::map<std::int64_t, std::int64_t>& steps,
                    std::vector<std::pair<Seen const*, std::int64_t>>& wide)
    {
        std::vector<Seen const*> shown;
        for (std::size_t i = first; i < end; ++i)
            if (m_pictures[i].order)
                shown.push_back(&m_pictures[i]);
        std::ranges::sort(shown, {}, [](Seen const* picture) { return *picture->order; });
        for (std::size_t i = 1; i < shown.size(); ++i) {
            std::int64_t const step = *shown[i]->order - *shown[i - 1]->order;
            ++steps[step];
            if (step > 1)
                wide.emplace_back(shown[i], step);
            if (shown[i]->shown <= shown[i - 1]->shown)
                m_moved.push_back(shown[i]);
        }
    }

    std::int64_t highest_shown() const { return std::ranges::max(m_pictures, {}, &Seen::shown).shown; }

    void count_at(FilmFlaw::Kind kind, std::int64_t shown)
    {
        Time const at = av::time_of(shown, m_clock);
        auto const last =
            std::find_if(m_flaws.rbegin(), m_flaws.rend(), [&](FilmFlaw const& flaw) { return flaw.kind == kind; });
        if (last == m_flaws.rend() || at > last->to + from_seconds(1)) {
            m_flaws.push_back({kind, at, at, 1});
            return;
        }
        last->from = std::min(last->from, at);
        last->to = std::max(last->to, at);
        ++last->pictures;
    }

    bool add_gaps_near(std::int64_t shown)
    {
        auto const gaps = m_rhythm.gaps_near(shown);
        for (Rhythm::Gap const& gap : gaps)
            add(FilmFlaw::Kind::missing, gap.from, gap.to, gap.pictures);
        return !gaps.empty();
    }

    void add(FilmFlaw::Kind kind, std::int64_t from, std::int64_t to, std::int64_t count)
    {
        FilmFlaw const flaw{kind, av::time_of(from, m_clock), av::time_of(to, m_clock), count};
        if (std::ranges::find(m_flaws, flaw) == m_flaws.end())
            m_flaws.push_back(flaw);
    }

    std::vector<Seen> const& m_pictures;
    AVRational m_clock;
    Rhythm m_rhythm;
    bool m_rare_damage = is_rare([](Seen const& picture) { return !picture.whole; });
    bool m_rare_gaps = is_rare([](Seen const& picture) { return picture.missing > 0; });
    bool m_rare_complaints = is_rare([](Seen const& picture) { return picture.complaint; });
    std::vector<Seen const*> m_moved;
    std::vector<FilmFlaw> m_flaws;
};

std::string place(FilmFlaw const& flaw)
{
    return flaw.from == flaw.to ? fmt::format("at {}", print_time(flaw.from))
                                : fmt::format("between {} and {}", print_time(flaw.from), print_time(flaw.to));
}

std::string pictures(FilmFlaw const& flaw)
{
    return flaw.pictures == 0   ? std::string("frames are")
           : flaw.pictures == 1 ? std::string("1 frame is")
                                : fmt::format("{} frames are", flaw.pictures);
}

std::string words_for(FilmFlaw const& flaw)
{
    switch (flaw.kind) {
    case FilmFlaw::Kind::missing:
        return fmt::format("{} missing {}", pictures(flaw), place(flaw));
    case FilmFlaw::Kind::damaged:
        return fmt::format("{} damaged {}", pictures(flaw), place(flaw));
    case FilmFlaw::Kind::moved:
        return fmt::format("{} out of order {}", pictures(flaw), place(flaw));
    case FilmFlaw::Kind::file:
        return fmt::format("the file is damaged {}, where sound or frames may be missing", place(flaw));
    }
    return {};
}

} // namespace

Result<std::vector<FilmFlaw>> find_flaws(CodedFilm& film) { return av::find_flaws(film, {}); }

Result<std::vector<FilmFlaw>> av::find_flaws(CodedFilm& film, PictureWatcher const& watcher)
{
    PictureStream& pictures = film.pictures();
    // Its first seconds were looked at to open it: read again, damage shows where it is.
    if (auto const first = pictures.next(); !first && first.error().kind == ErrorKind::interrupted)
        return first.error();
    TRY_VOID(pictures.rewind());
    pictures.look_at_other_tracks(true);
    auto const read = read_all(pictures, watcher);
    pictures.look_at_other_tracks(false);
    film.note_sound(pictures.take_sound());
    TRY_ASSIGN(Reading const reading, read);
    if (!reading.times_known) // AVI: a place in time is not said
        return std::vector<FilmFlaw>{};
    return Judge(reading, pictures.stream().time_base).flaws();
}

std::string words_for(std::vector<FilmFlaw> const& flaws)
{
    constexpr std::size_t kNamed = 4;
    std::vector<std::string> words;
    for (std::size_t i = 0; i < std::min(kNamed, flaws.size()); ++i)
        words.push_back(words_for(flaws[i]));
    if (flaws.size() > kNamed)
        words.push_back(fmt::format("and {} more such places", flaws.size() - kNamed));
    return fmt::format("{}", fmt::join(words, "; "));
}

std::string words_for_undecoded(std::int64_t pictures)
{
    return pictures == 0 ? std::string()
                         : fmt::format("{} cannot be decoded whole",
                                       pictures == 1 ? "a frame" : fmt::format("{} frames", pictures));
}

} // namespace tabard::pipeline
