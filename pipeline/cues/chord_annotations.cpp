#include "pipeline/cues/chord_annotations.h"

#include "overlay/base/letters.h"
#include "overlay/base/text_encoding.h"
#include "overlay/base/utf8.h"
#include "overlay/music/annotations/chord_annotation.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

using overlay::ChordAnnotation;

constexpr Time kMillisecond = from_ticks(1, 1, 1000);
/// Ends that lie less apart were meant to be one: they were rounded. Common practice, no published source.
constexpr Time kSame = 10 * kMillisecond;
constexpr std::string_view kBlanks = " \t";
constexpr char const* kNoChord = "N.C.";

struct Column {
    std::string_view text;
    std::size_t at = 0; ///< offset in its line
};

/// One line as it was written.
struct Line {
    Time from{0};
    Time to{0};
    std::optional<std::string> chord; ///< none where no chord is shown
    SourcePosition at;
};

/// Somebody's text as it is shown in a message.
std::string shown(std::string_view text)
{
    constexpr std::size_t kMostShown = 40;
    return on_one_line(first_letters(text, kMostShown)) + (text.size() > kMostShown ? "..." : "");
}

AnnotationRemark remark(int line, std::size_t offset, std::string what)
{
    return {{line, static_cast<int>(offset) + 1}, std::move(what)};
}

std::vector<std::string_view> lines_of(std::string_view text)
{
    std::vector<std::string_view> lines;
    while (!text.empty()) {
        std::size_t const end = std::min(text.find_first_of("\r\n"), text.size());
        lines.push_back(text.substr(0, end));
        text.remove_prefix(end);
        text.remove_prefix(text.starts_with("\r\n") ? 2 : text.empty() ? 0 : 1);
    }
    return lines;
}

/// Without a comment behind blanks: no label begins with "#".
std::string_view without_comment(std::string_view line)
{
    for (std::size_t at = line.find('#'); at != std::string_view::npos; at = line.find('#', at + 1))
        if (at == 0 || kBlanks.find(line[at - 1]) != std::string_view::npos)
            return line.substr(0, at);
    return line;
}

bool is_comment(std::string_view line)
{
    std::size_t const first = line.find_first_not_of(kBlanks);
    std::string_view const rest = first == std::string_view::npos ? "" : line.substr(first);
    return rest.empty() || rest.starts_with('%') || rest.starts_with(';') || rest.starts_with("//");
}

/// Between blanks; without any, between commas or semicolons, of which a label may hold further ones.
std::vector<Column> columns_of(std::string_view line)
{
    std::vector<Column> columns;
    for (std::size_t at = line.find_first_not_of(kBlanks); at != std::string_view::npos;
         at = line.find_first_not_of(kBlanks, at)) {
        std::size_t const end = std::min(line.find_first_of(kBlanks, at), line.size());
        columns.push_back({line.substr(at, end - at), at});
        at = end;
    }
    if (columns.size() == 1) {
        Column rest = columns[0];
        columns.clear();
        char const separator = rest.text.find(';') != std::string_view::npos ? ';' : ',';
        for (std::size_t end = rest.text.find(separator); columns.size() < 2 && end != std::string_view::npos;
             end = rest.text.find(separator)) {
            columns.push_back({rest.text.substr(0, end), rest.at});
            rest = {rest.text.substr(end + 1), rest.at + end + 1};
        }
        columns.push_back(rest);
    }
    for (std::size_t i = 0; i < columns.size(); ++i) {
        std::string_view& text = columns[i].text;
        if (i < 2 && (text.ends_with(',') || text.ends_with(';')))
            text.remove_suffix(1);
        if (text.size() >= 2 && text.front() == '"' && text.back() == '"') {
            text = text.substr(1, text.size() - 2);
            ++columns[i].at;
        }
    }
    return columns;
}

/// "2.612267", "2,612267", "1.5e1" seconds, "0:02.6"; else why it is none.
tl::expected<Time, std::string> time_of(std::string_view written)
{
    std::string text{written};
    if (std::ranges::count(text, ',') == 1 && text.find('.') == std::string::npos)
        text[text.find(',')] = '.';
    std::string_view number = text;
    if (number.starts_with('+'))
        number.remove_prefix(1);
    double seconds = 0;
    auto const [end, failed] = std::from_chars(number.data(), number.data() + number.size(), seconds);
    bool const whole = end == number.data() + number.size() && !number.empty();
    if (whole && (failed == std::errc::result_out_of_range || std::isfinite(seconds))) {
        if (failed == std::errc::result_out_of_range || std::abs(seconds) > to_seconds(kLatestTime))
            return tl::unexpected(
                fmt::format("'{}' seconds are no time of a film; times are counted in seconds", shown(text)));
        if (seconds <= -0.001)
            return tl::unexpected(fmt::format("'{}' lies before the film; times count from its start", shown(text)));
        return std::max(Time{0}, from_seconds(seconds));
    }
    if (auto const time = text.find(':') == std::string::npos ? Error{} : parse_time(text); time && *time >= Time{0})
        return *time;
    return tl::unexpected(fmt::format("'{}' is no time; write seconds, as in 2.612", shown(written)));
}

Time to_millisecond(Time time) { return (time + kMillisecond / 2) / kMillisecond * kMillisecond; }

class Reader {
public:
    Reader(Interval film, Time shortest) : m_film(film), m_shortest(shortest) {}

    tl::expected<ChordAnnotations, AnnotationErrors> read(std::string_view text)
    {
        int number = 0;
        for (std::string_view const line : lines_of(text)) {
            ++number;
            std::string_view const said = without_comment(line);
            if (!is_comment(said))
                read_line(number, columns_of(said), said.size());
        }
        if (m_errors.empty())
            place_lines();
        if (m_errors.empty() && m_chords.empty())
            m_errors.push_back(remark(std::max(1, number), 0,
                                      m_remarks.empty()
                                          ? "the file has no chord; a line is start, end and label, as in "
                                            "0.000 2.612 C:maj"
                                          : "no chord is left of the file; " + m_remarks[0].what));
        if (!m_errors.empty())
            return tl::unexpected(AnnotationErrors{std::move(m_errors)});
        std::ranges::stable_sort(m_remarks, {}, &AnnotationRemark::at);
        return ChordAnnotations{std::move(m_chords), std::move(m_remarks)};
    }

private:
    void read_line(int number, std::vector<Column> const& columns, std::size_t length)
    {
        bool const first = std::exchange(m_first, false);
        if (columns.size() != 3) {
            if (!first || columns[0].text.find_first_of("0123456789") != std::string_view::npos)
                wrong(number, columns.size() > 3 ? columns[3].at : length,
                      fmt::format("{} column{}; a line is start, end and label, as in 0.000 2.612 C:maj",
                                  columns.size(), columns.size() == 1 ? "" : "s"));
            return;
        }
        auto const from = time_of(columns[0].text);
        auto const to = time_of(columns[1].text);
        if (first && !from && !to && columns[0].text.find_first_of("0123456789") == std::string_view::npos)
            return; // a heading
        if (!from)
            wrong(number, columns[0].at, from.error());
        if (!to)
            wrong(number, columns[1].at, to.error());
        if (!from || !to)
            return;
        if (*to < *from) {
            wrong(number, columns[1].at,
                  fmt::format("the chord ends at {} and begins at {}; let it end later", shown(columns[1].text),
                              shown(columns[0].text)));
            return;
        }
        m_lines.push_back({*from, *to, chord_of(number, columns[2]), {number, static_cast<int>(columns[0].at) + 1}});
    }

    /// The name to show, or none.
    std::optional<std::string> chord_of(int number, Column const& label)
    {
        auto const read = overlay::parse_chord_annotation(label.text);
        if (!read) {
            say(number, label.at + read.error().at,
                fmt::format("'{}' is no chord label: {}; nothing is shown there", shown(label.text),
                            on_one_line(read.error().what)));
            return std::nullopt;
        }
        if (read->kind == ChordAnnotation::Kind::none)
            return kNoChord;
        if (read->kind == ChordAnnotation::Kind::unknown) {
            say(number, label.at, "X is a chord that nobody named; nothing is shown there");
            return std::nullopt;
        }
        std::string name = read->chord.text();
        if (!read->exact)
            say(number, label.at,
                fmt::format("no chord name has the notes of '{}' ({}); the nearest, {}, is written", label.text,
                            read->notes, name));
        return name;
    }

    /// Lines in order of time, each up to the next, in milliseconds.
    void place_lines()
    {
        for (std::size_t i = 1; i < m_lines.size(); ++i)
            if (m_lines[i].from < m_lines[i - 1].from) {
                say_at(m_lines[i], "this line begins before the one above it; lines are read in order of time");
                break;
            }
        std::ranges::stable_sort(m_lines, {}, &Line::from);
        for (std::size_t i = 0; i < m_lines.size(); ++i) {
            Line line = m_lines[i];
            if (i + 1 < m_lines.size())
                join_to_next(line, m_lines[i + 1]);
            add(line);
        }
        leave_out_short_ones();
        while (!m_chords.empty() && m_chords.back().chord == kNoChord)
            m_chords.pop_back();
        auto const sounds = std::ranges::find_if(m_chords, [](auto const& chord) { return chord.chord != kNoChord; });
        m_chords.erase(m_chords.begin(), sounds);
        if (!m_after_film.empty())
            say_at(m_after_film[0], fmt::format("{} begin{} after the film's end at {} and {} left out",
                                                m_after_film.size() == 1
                                                    ? "this chord"
                                                    : fmt::format("this chord and {} more", m_after_film.size() - 1),
                                                m_after_film.size() == 1 ? "s" : "", print_time(m_film.to),
                                                m_after_film.size() == 1 ? "is" : "are"));
    }
    void join_to_next(Line& line, Line const& next)
    {
        if (line.to > next.from + kSame || (line.to > next.from && next.from == line.from))
            say_at(line, fmt::format("the line from {} to {} goes on when the one from {} begins; it ends there",
                                     print_time(line.from), print_time(line.to), print_time(next.from)));
        else if (line.to + kSame < next.from && next.from < m_film.to)
            say_at(next, fmt::format("no line says what sounds from {} to {}; nothing is shown there",
                                     print_time(line.to), print_time(next.from)));
        else if (line.to == line.from)
            return; // too short, as add() says
        if (line.to > next.from || line.to + kSame >= next.from)
            line.to = next.from;
    }
    void add(Line const& line)
    {
        if (!line.chord)
            return;
        if (line.from >= m_film.to) {
            if (line.chord != kNoChord)
                m_after_film.push_back(line);
            return;
        }
        Time const from = std::max(to_millisecond(line.from), m_film.from);
        Time const to = std::min(to_millisecond(line.to), m_film.to);
        if (to <= from) {
            say_at(line, fmt::format("{} lasts less than a millisecond; it is left out", *line.chord));
            return;
        }
        append(m_chords, {from, to, *line.chord, line.at});
    }
    /// Equal neighbours are one.
    static void append(std::vector<AnnotatedChord>& chords, AnnotatedChord chord)
    {
        if (!chords.empty() && chords.back().to == chord.from && chords.back().chord == chord.chord)
            chords.back().to = chord.to;
        else
            chords.push_back(std::move(chord));
    }
    void leave_out_short_ones()
    {
        std::vector<AnnotatedChord> kept;
        for (AnnotatedChord& chord : m_chords) {
            if (chord.to - chord.from >= m_shortest) {
                append(kept, std::move(chord));
                continue;
            }
            m_remarks.push_back({chord.at, fmt::format("{} lasts {} s, too short to be read; it is left out",
                                                       chord.chord, to_seconds(chord.to - chord.from))});
            if (!kept.empty() && kept.back().to == chord.from)
                kept.back().to = chord.to;
        }
        m_chords = std::move(kept);
    }

    void wrong(int line, std::size_t offset, std::string what)
    {
        m_errors.push_back(remark(line, offset, std::move(what)));
    }
    void say(int line, std::size_t offset, std::string what)
    {
        m_remarks.push_back(remark(line, offset, std::move(what)));
    }
    void say_at(Line const& line, std::string what) { m_remarks.push_back({line.at, std::move(what)}); }

    Interval m_film;
    Time m_shortest;
    bool m_first = true;
    std::vector<Line> m_after_film;
    std::vector<Line> m_lines;
    std::vector<AnnotatedChord> m_chords;
    std::vector<AnnotationRemark> m_remarks;
    std::vector<AnnotationRemark> m_errors;
};

} // namespace

tl::expected<ChordAnnotations, AnnotationErrors> parse_chord_annotations(std::string_view bytes, Interval film,
                                                                         Time shortest)
{
    return Reader{film, shortest}.read(valid_utf8(text_of_bytes(bytes)));
}

} // namespace tabard::pipeline
