#include "pipeline/cues/chart.h"

#include "overlay/base/precondition.h"
#include "overlay/music/names/chord_name.h"

#include <algorithm>
#include <charconv>
#include <numeric>
#include <optional>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr int kMostTimes = 99;
constexpr std::size_t kLongestChord = 100; ///< bytes of a name; no chord comes near it

/// What ends a bar: `|`, `||`, `|:`, `:|`, `:|:` and runs of these with white space between.
struct BarLine {
    bool empty_bar = false; ///< two plain bar lines with nothing but space between
    bool opens = false;
    int closes = 0;
    std::size_t opens_at = 0;
};

class ChartParser {
public:
    ChartParser(std::string_view text, overlay::Meter meter, std::vector<SourcePosition> const& places,
                KnownName const& known, overlay::NoteNames names)
        : m_text(text), m_places(places), m_known(known)
    {
        m_reading.chart.text = text;
        m_reading.chart.meter = meter;
        m_reading.chart.names = names;
    }

    ChartReading parse()
    {
        BarLine line = take_bar_line();
        while (m_at < m_text.size()) {
            if (m_reading.chart.written.size() >= static_cast<std::size_t>(kMostBars)) {
                report("too-big", m_at, fmt::format("the chart has more than {} bars", kMostBars), "split the part");
                break;
            }
            std::size_t const begin = m_at;
            std::vector<BarWord> const tokens = take_tokens();
            add_bar(tokens, begin);
            m_reading.chart.written.back().opens_repeat = line.opens;
            if (line.opens)
                open_repeat(line.opens_at);
            line = take_bar_line();
            if (line.closes > 0)
                close_repeat(line);
        }
        if (m_reading.chart.written.empty())
            report("bad-chart", 0, "the chart has no bars", "write the chords, with | between bars");
        if (m_open_at)
            report("bad-chart", *m_open_at, "the repeat that opens here is not closed", "write :| at its end");
        expand();
        return std::move(m_reading);
    }

private:
    overlay::Meter meter() const { return m_reading.chart.meter; }
    overlay::NoteNames names() const { return m_reading.chart.names; }

    SourcePosition place(std::size_t at) const
    {
        if (m_places.empty())
            return {1, static_cast<int>(at) + 1};
        return m_places[at];
    }

    void report(std::string code, std::size_t at, std::string what, std::string fix)
    {
        m_reading.findings.push_back(
            {Severity::error, std::move(code), place(at), std::nullopt, std::move(what), std::move(fix)});
    }

    void skip_space()
    {
        while (std::size_t const space = chart_space(m_text.substr(m_at)))
            m_at += space;
    }

    bool take(std::string_view sign)
    {
        if (!m_text.substr(m_at).starts_with(sign))
            return false;
        m_at += sign.size();
        return true;
    }

    /// The number after `x` or U+00D7, where one follows a closed repeat; 2 without.
    int take_times()
    {
        std::size_t const before = m_at;
        skip_space();
        std::size_t const sign_at = m_at;
        if (!take("x") && !take("\xC3\x97")) {
            m_at = before;
            return 2;
        }
        int times = 0;
        auto const [end, error] = std::from_chars(m_text.data() + m_at, m_text.data() + m_text.size(), times);
        m_at = static_cast<std::size_t>(end - m_text.data());
        if (error == std::errc{} && times >= 2 && times <= kMostTimes)
            return times;
        report("bad-chart", sign_at, fmt::format("a repeat is played 2 to {} times", kMostTimes),
               "write x3 for three times");
        return 2;
    }

    BarLine take_bar_line()
    {
        BarLine line;
        bool plain_before = false;
        while (true) {
            skip_space();
            std::size_t const at = m_at;
            if (take(":|")) {
                bool const opens = take(":");
                line.closes = take_times();
                if (opens || take(":")) {
                    line.opens = true;
                    line.opens_at = at;
                }
                plain_before = false;
            } else if (take("||:") || take("|:")) {
                line.opens = true;
                line.opens_at = at;
                plain_before = false;
            } else if (take("||")) {
                plain_before = false;
            } else if (take("|")) {
                if (plain_before && !line.empty_bar) {
                    line.empty_bar = true;
                    report("bad-chart", at, "there is nothing in this bar",
                           "write its chord, % to repeat the bar before, or N.C.");
                }
                plain_before = true;
            } else {
                return line;
            }
        }
    }

    /// The words up to the next bar line.
    std::vector<BarWord> take_tokens()
    {
        std::vector<BarWord> tokens;
        while (true) {
            skip_space();
            std::size_t const begin = m_at;
            while (m_at < m_text.size() && chart_space(m_text.substr(m_at)) == 0 && m_text[m_at] != '|' &&
                   m_text.substr(m_at, 2) != ":|")
                ++m_at;
            if (m_at == begin)
                return tokens;
            tokens.push_back({std::string(m_text.substr(begin, m_at - begin)), begin});
        }
    }

    void add_bar(std::vector<BarWord> const& written, std::size_t begin)
    {
        WrittenBar bar;
        bar.at = place(written.empty() ? begin : written.front().at);
        BarWords const read = read_bar_words(written, meter(), m_known, names());
        if (read.slip)
            refuse_slip(read);
        bool const simile = std::ranges::find(read.words, "%", &BarWord::text) != read.words.end();
        if (simile)
            add_simile(bar, read);
        else
            add_chords(bar, read);
        m_reading.chart.written.push_back(std::move(bar));
    }

    /// How the bar may be meant, where a chart may be written so.
    std::optional<std::string> written_right(std::vector<BarWord> const& words) const
    {
        auto const right = m_suggests ? bar_written_right(words, meter()) : std::nullopt;
        if (!right)
            return std::nullopt;
        bool const first = m_reading.chart.written.empty();
        std::string const chart = (first ? "" : "N.C. | ") + *right;
        std::vector<SourcePosition> const no_places;
        ChartParser parser(chart, meter(), no_places, m_known, names());
        parser.m_suggests = false;
        return parser.parse().findings.empty() ? right : std::nullopt;
    }

    void refuse_slip(BarWords const& bar)
    {
        std::string fix = "put spaces and | between chords";
        if (bar.words.empty() && !bar.times.empty())
            fix = fmt::format("write \":| {}\" where the repeat ends", bar.times);
        else if (bar.words.empty())
            fix = "write its chord, % to repeat the bar before, or N.C.";
        else if (auto const right = written_right(bar.words); right && !bar.times.empty())
            fix = fmt::format("write \"|: {} :| {}\"", *right, bar.times);
        else if (right)
            fix = fmt::format("write \"{}\"", *right);
        report("bad-chart", bar.slip->at,
               fmt::format("'{}' is neither a chord nor a sign of the chart", bar.slip->text), std::move(fix));
    }

    void add_simile(WrittenBar& bar, BarWords const& read)
    {
        bar.simile = true;
        if (read.words.size() > 1 && !read.slip) {
            auto const right = written_right(read.words);
            report("bad-chart", read.words.front().at, "% repeats a whole bar and stands alone in it",
                   right ? fmt::format("write \"{}\"", *right) : "put a | beside it");
        }
        if (m_reading.chart.written.empty()) {
            report("bad-chart", read.words.front().at, "there is no bar before this one to repeat", "write its chords");
            bar.chords = {{"", meter().beats, false, bar.at}};
        } else {
            bar.chords = m_reading.chart.written.back().chords;
        }
    }

    void add_chords(WrittenBar& bar, BarWords const& read)
    {
        for (BarWord const& word : read.words)
            if (word.text != "|")
                add_word(bar, word);
        if (bar.chords.empty())
            bar.chords.push_back({"", 0, false, bar.at});
        bool const held = std::ranges::any_of(read.words, [](BarWord const& word) { return word.text[0] == '/'; });
        auto const even = held ? std::vector<int>{} : even_beats(bar.chords.size(), meter());
        int const beats = std::accumulate(bar.chords.begin(), bar.chords.end(), 0,
                                          [](int sum, ChartChord const& chord) { return sum + chord.beats; });
        if (bar.chords.size() == 1 && beats <= 1)
            bar.chords[0].beats = meter().beats;
        else if (!even.empty())
            for (std::size_t i = 0; i < even.size(); ++i)
                bar.chords[i].beats = even[i];
        else if (meter().compound() && beats == meter().pulses())
            for (ChartChord& chord : bar.chords)
                chord.beats *= 3;
        else if (beats != meter().beats && read.slip)
            make_fit(bar); // said already
        else if (beats != meter().beats)
            refuse_beats(bar, beats, read.words);
    }

    void add_word(WrittenBar& bar, BarWord const& word)
    {
        if (word.text.find_first_not_of('/') != std::string::npos)
            return add_chord(bar, word);
        int const beats = static_cast<int>(std::min<std::size_t>(word.text.size(), 1000));
        if (!bar.chords.empty()) {
            bar.chords.back().beats += beats;
        } else if (!m_reading.chart.written.empty()) {
            bar.chords.push_back({m_reading.chart.written.back().chords.back().name, beats, true, place(word.at)});
        } else {
            report("bad-chart", word.at, "there is no chord before this / to hold",
                   "begin the chart with a chord or N.C.");
            bar.chords.push_back({"", beats, false, place(word.at)});
        }
    }

    void add_chord(WrittenBar& bar, BarWord const& word)
    {
        if (word.text.size() > kLongestChord)
            return report("too-big", word.at, fmt::format("a chord's name has more than {} characters", kLongestChord),
                          "put spaces and | between chords");
        auto const chord = overlay::ChordName::parse(word.text, names());
        bar.chords.push_back({chord && chord->no_chord ? "" : word.text, 1, false, place(word.at)});
        if (word.text.ends_with('/') || word.text.starts_with('/') || word.text.find(':') != std::string::npos)
            report("bad-chart", word.at, fmt::format("'{}' is neither a chord nor a sign of the chart", word.text),
                   "put spaces around each /, and : beside a | alone");
    }

    void refuse_beats(WrittenBar& bar, int beats, std::vector<BarWord> const& words)
    {
        auto const wanted = meter().compound() ? fmt::format("{} (or {})", meter().beats, meter().pulses())
                                               : fmt::format("{}", meter().beats);
        auto const right = written_right(words);
        report("beats-in-bar", words.front().at,
               fmt::format("bar {} has {} beat{}, and {} wants {}", m_reading.chart.written.size() + 1, beats,
                           beats == 1 ? "" : "s", meter().text(), wanted),
               right                   ? fmt::format("write \"{}\", or hold other chords with /", *right)
               : beats < meter().beats ? "add a / for each beat that a chord is held"
                                       : "take beats away, or put a | where the next bar begins");
        make_fit(bar);
    }

    /// Later checks want a bar of the right length: the last chord is held, or what is too much is cut off.
    void make_fit(WrittenBar& bar) const
    {
        int left = meter().beats;
        std::vector<ChartChord> chords;
        for (ChartChord& chord : bar.chords) {
            if (left == 0)
                break;
            chord.beats = std::min(chord.beats, left);
            left -= chord.beats;
            chords.push_back(std::move(chord));
        }
        chords.back().beats += left;
        bar.chords = std::move(chords);
    }

    void open_repeat(std::size_t at)
    {
        if (m_open_at)
            report("bad-chart", at, "a repeat opens inside another", "close the first with :| before this one");
        m_open_at = at;
    }

    void close_repeat(BarLine const& line)
    {
        if (m_reading.chart.written.empty())
            return;
        m_reading.chart.written.back().closes_repeat = line.closes;
        m_open_at.reset();
    }

    void expand()
    {
        Chart& chart = m_reading.chart;
        std::size_t begin = 0;
        for (std::size_t i = 0; i < chart.written.size(); ++i) {
            if (chart.written[i].opens_repeat)
                begin = i;
            chart.played.push_back(static_cast<int>(i));
            for (int time = 1; time < chart.written[i].closes_repeat; ++time)
                for (std::size_t again = begin; again <= i; ++again)
                    chart.played.push_back(static_cast<int>(again));
            if (chart.written[i].closes_repeat > 0)
                begin = i + 1;
            if (chart.played.size() > static_cast<std::size_t>(kMostBars)) {
                m_reading.findings.push_back(
                    {Severity::error, "too-big", chart.written[i].at, std::nullopt,
                     fmt::format("with its repeats the chart has more than {} bars", kMostBars),
                     "repeat less, or split the part"});
                chart.played.resize(static_cast<std::size_t>(kMostBars));
                return;
            }
        }
    }

    std::string_view m_text;
    std::vector<SourcePosition> const& m_places;
    KnownName const& m_known;
    ChartReading m_reading;
    std::size_t m_at = 0;
    std::optional<std::size_t> m_open_at; ///< where the running repeat begins
    bool m_suggests = true;               ///< false for what is a suggestion itself
};

} // namespace

std::size_t chart_space(std::string_view text)
{
    for (std::string_view const space : {" ", "\t", "\n", "\r", "\u00A0", "\u202F", "\u3000"})
        if (text.starts_with(space))
            return space.size();
    return 0;
}

ChartReading parse_chart(std::string_view text, overlay::Meter meter, std::vector<SourcePosition> const& places,
                         KnownName const& known, overlay::NoteNames names)
{
    PRECONDITION(places.empty() || places.size() == text.size() + 1);
    return ChartParser(text, meter, places, known, names).parse();
}

} // namespace tabard::pipeline
