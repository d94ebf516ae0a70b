#include "pipeline/cues/chart.h"

#include "overlay/base/precondition.h"

#include <algorithm>
#include <charconv>
#include <numeric>
#include <optional>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr int kMostTimes = 99;
constexpr std::size_t kLongestChord = 100; ///< bytes of a name; no chord comes near it

struct Token {
    std::string_view text;
    std::size_t at = 0;
};

bool is_space(char c) { return c == ' ' || c == '\t' || c == '\n' || c == '\r'; }

/// What ends a bar: `|`, `||`, `|:`, `:|`, `:|:` and runs of these with white space between.
struct BarLine {
    bool empty_bar = false; ///< two plain bar lines with nothing but space between
    bool opens = false;
    int closes = 0;
    std::size_t opens_at = 0;
};

class ChartParser {
public:
    ChartParser(std::string_view text, overlay::Meter meter, std::vector<SourcePosition> const& places)
        : m_text(text), m_places(places)
    {
        m_reading.chart.text = text;
        m_reading.chart.meter = meter;
    }

    ChartReading parse()
    {
        BarLine line = take_bar_line();
        while (m_at < m_text.size()) {
            if (m_reading.chart.written.size() >= static_cast<std::size_t>(kMostBars)) {
                report("too-big", m_at, fmt::format("the chart has more than {} bars", kMostBars), "split the section");
                break;
            }
            std::size_t const begin = m_at;
            std::vector<Token> const tokens = take_tokens();
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

    SourcePosition place(std::size_t at) const
    {
        if (m_places.empty())
            return {1, static_cast<int>(at) + 1};
        return m_places[at];
    }

    void report(std::string code, std::size_t at, std::string what, std::string mend)
    {
        m_reading.findings.push_back(
            {Severity::error, std::move(code), place(at), std::nullopt, std::move(what), std::move(mend)});
    }

    void skip_space()
    {
        while (m_at < m_text.size() && is_space(m_text[m_at]))
            ++m_at;
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
            } else if (take("|:")) {
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
    std::vector<Token> take_tokens()
    {
        std::vector<Token> tokens;
        while (true) {
            skip_space();
            std::size_t const begin = m_at;
            while (m_at < m_text.size() && !is_space(m_text[m_at]) && m_text[m_at] != '|' &&
                   m_text.substr(m_at, 2) != ":|")
                ++m_at;
            if (m_at == begin)
                return tokens;
            tokens.push_back({m_text.substr(begin, m_at - begin), begin});
        }
    }

    void add_bar(std::vector<Token> const& tokens, std::size_t begin)
    {
        WrittenBar bar;
        bar.at = place(tokens.empty() ? begin : tokens.front().at);
        bool const simile = std::ranges::find(tokens, "%", &Token::text) != tokens.end();
        if (simile)
            add_simile(bar, tokens);
        else
            add_chords(bar, tokens);
        m_reading.chart.written.push_back(std::move(bar));
    }

    void add_simile(WrittenBar& bar, std::vector<Token> const& tokens)
    {
        bar.simile = true;
        if (tokens.size() > 1)
            report("bad-chart", tokens.front().at, "% repeats a whole bar and stands alone in it", "put a | beside it");
        if (m_reading.chart.written.empty()) {
            report("bad-chart", tokens.front().at, "there is no bar before this one to repeat", "write its chords");
            bar.chords = {{"", meter().beats, false, bar.at}};
        } else {
            bar.chords = m_reading.chart.written.back().chords;
        }
    }

    void add_chords(WrittenBar& bar, std::vector<Token> const& tokens)
    {
        for (Token const& token : tokens)
            add_token(bar, token);
        if (bar.chords.empty())
            bar.chords.push_back({"", 0, false, bar.at});
        int const beats = std::accumulate(bar.chords.begin(), bar.chords.end(), 0,
                                          [](int sum, ChartChord const& chord) { return sum + chord.beats; });
        if (bar.chords.size() == 1 && beats <= 1)
            bar.chords[0].beats = meter().beats;
        else if (meter().compound() && beats == meter().pulses())
            for (ChartChord& chord : bar.chords)
                chord.beats *= 3;
        else if (beats != meter().beats)
            refuse_beats(bar, beats, tokens.front().at);
    }

    void add_token(WrittenBar& bar, Token const& token)
    {
        if (token.text.find_first_not_of('/') != std::string_view::npos) {
            if (token.text.size() > kLongestChord)
                return report("too-big", token.at,
                              fmt::format("a chord's name has more than {} characters", kLongestChord),
                              "put spaces and | between chords");
            bool const none = token.text == "N.C." || token.text == "NC" || token.text == "N.C";
            bar.chords.push_back({none ? "" : std::string(token.text), 1, false, place(token.at)});
            if (token.text.ends_with('/') || token.text.starts_with('/') ||
                token.text.find(':') != std::string_view::npos)
                report("bad-chart", token.at,
                       fmt::format("'{}' is neither a chord nor a sign of the chart", token.text),
                       "put spaces around each /, and : beside a | alone");
            return;
        }
        int const beats = static_cast<int>(std::min<std::size_t>(token.text.size(), 1000));
        if (!bar.chords.empty()) {
            bar.chords.back().beats += beats;
        } else if (!m_reading.chart.written.empty()) {
            bar.chords.push_back({m_reading.chart.written.back().chords.back().name, beats, true, place(token.at)});
        } else {
            report("bad-chart", token.at, "there is no chord before this / to hold",
                   "begin the chart with a chord or N.C.");
            bar.chords.push_back({"", beats, false, place(token.at)});
        }
    }

    void refuse_beats(WrittenBar& bar, int beats, std::size_t at)
    {
        auto const wanted = meter().compound() ? fmt::format("{} (or {})", meter().beats, meter().pulses())
                                               : fmt::format("{}", meter().beats);
        report("beats-in-bar", at,
               fmt::format("bar {} has {} beat{}, and {} wants {}", m_reading.chart.written.size() + 1, beats,
                           beats == 1 ? "" : "s", meter().text(), wanted),
               beats < meter().beats ? "add a / for each beat that a chord is held"
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
                     "repeat less, or split the section"});
                chart.played.resize(static_cast<std::size_t>(kMostBars));
                return;
            }
        }
    }

    std::string_view m_text;
    std::vector<SourcePosition> const& m_places;
    ChartReading m_reading;
    std::size_t m_at = 0;
    std::optional<std::size_t> m_open_at; ///< where the running repeat begins
};

} // namespace

ChartReading parse_chart(std::string_view text, overlay::Meter meter, std::vector<SourcePosition> const& places)
{
    PRECONDITION(places.empty() || places.size() == text.size() + 1);
    return ChartParser(text, meter, places).parse();
}

} // namespace tabard::pipeline
