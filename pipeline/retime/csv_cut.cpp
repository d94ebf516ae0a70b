#include "pipeline/retime/csv_cut.h"

#include "overlay/base/characters.h"
#include "pipeline/retime/cut_source.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <array>
#include <optional>
#include <utility>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

struct Record {
    int line = 1;
    std::vector<std::string> fields;
};

Error wrong(int line, std::string const& what)
{
    return {ErrorKind::invalid_input, fmt::format("line {}: {}", line, what)};
}

/// RFC 4180: fields between commas, quoted where they hold commas, quotes (doubled) or line ends.
class Reader {
public:
    Reader(std::string_view text, char separator, int line) : m_text(text), m_separator(separator), m_line(line) {}

    bool at_end() const { return m_at == m_text.size(); }

    Result<Record> record()
    {
        Record record{m_line, {}};
        do {
            TRY_ASSIGN(auto field, this->field());
            record.fields.push_back(std::move(field));
        } while (take(m_separator));
        if (!at_end() && !take('\n') && !(take('\r') && (take('\n') || true)))
            return wrong(m_line, "there is text after a closing quote");
        ++m_line;
        return record;
    }

private:
    bool take(char sign)
    {
        if (at_end() || m_text[m_at] != sign)
            return false;
        ++m_at;
        return true;
    }

    Result<std::string> field()
    {
        if (take('"'))
            return quoted();
        std::size_t const end = std::min(m_text.find_first_of(std::string{m_separator} + "\r\n", m_at), m_text.size());
        std::string const text{m_text.substr(m_at, end - m_at)};
        m_at = end;
        return text;
    }

    Result<std::string> quoted()
    {
        int const opened = m_line;
        std::string text;
        while (!at_end()) {
            char const sign = m_text[m_at++];
            if (sign == '"' && !take('"'))
                return text;
            m_line += sign == '\n' ? 1 : 0;
            text += sign;
        }
        return wrong(opened, "a quote is opened and never closed");
    }

    std::string_view m_text;
    char m_separator;
    std::size_t m_at = 0;
    int m_line;
};

std::string trimmed(std::string const& text)
{
    std::size_t const from = text.find_first_not_of(" \t");
    return from == std::string::npos ? "" : text.substr(from, text.find_last_not_of(" \t") - from + 1);
}

/// Where a record holds what a piece needs.
struct Columns {
    std::optional<std::size_t> from;
    std::optional<std::size_t> to;
    std::optional<std::size_t> at;
    std::optional<std::size_t> length; ///< used where there is no `to`
    std::size_t count = 3;
};

std::optional<std::size_t> Columns::*column_named(std::string const& name)
{
    struct Word {
        std::string_view text;
        std::optional<std::size_t> Columns::*column;
    };
    // Usual headings: common practice, no published source.
    static constexpr std::array kWords{
        Word{"from", &Columns::from},
        Word{"start", &Columns::from},
        Word{"start time", &Columns::from},
        Word{"begin", &Columns::from},
        Word{"in", &Columns::from},
        Word{"in point", &Columns::from},
        Word{"source in", &Columns::from},
        Word{"von", &Columns::from},
        Word{"anfang", &Columns::from},
        Word{"beginn", &Columns::from},
        Word{"de", &Columns::from},
        Word{"d\u00E9but", &Columns::from},
        Word{"debut", &Columns::from},
        Word{"desde", &Columns::from},
        Word{"inicio", &Columns::from},
        Word{"inizio", &Columns::from},
        Word{"van", &Columns::from},
        Word{"to", &Columns::to},
        Word{"end", &Columns::to},
        Word{"end time", &Columns::to},
        Word{"stop", &Columns::to},
        Word{"out", &Columns::to},
        Word{"out point", &Columns::to},
        Word{"source out", &Columns::to},
        Word{"bis", &Columns::to},
        Word{"ende", &Columns::to},
        Word{"\u00E0", &Columns::to},
        Word{"fin", &Columns::to},
        Word{"hasta", &Columns::to},
        Word{"fine", &Columns::to},
        Word{"tot", &Columns::to},
        Word{"einde", &Columns::to},
        Word{"at", &Columns::at},
        Word{"position", &Columns::at},
        Word{"record in", &Columns::at},
        Word{"length", &Columns::length},
        Word{"duration", &Columns::length},
        Word{"dauer", &Columns::length},
        Word{"dur\u00E9e", &Columns::length},
        Word{"duraci\u00F3n", &Columns::length},
        Word{"durata", &Columns::length},
    };
    std::string plain;
    for (char const sign : name)
        plain += sign == '_' || sign == '-' ? ' ' : sign >= 'A' && sign <= 'Z' ? static_cast<char>(sign + 32) : sign;
    // A unit in which times are read anyway; any other ("ms", "frames") leaves the heading unknown.
    for (std::string_view const unit :
         {"(s)", "[s]", "(sec)", "(seconds)", "(m:ss)", "(mm:ss)", "(h:mm:ss)", "(hh:mm:ss)"})
        if (plain.ends_with(unit))
            plain = trimmed(plain.substr(0, plain.size() - unit.size()));
    auto const word = std::ranges::find(kWords, plain, &Word::text);
    return word == kWords.end() ? nullptr : word->column;
}

bool is_heading(Record const& record)
{
    auto const holds_digit = [](std::string const& field) {
        return field.find_first_of("0123456789") != std::string::npos;
    };
    return std::ranges::any_of(record.fields, column_named) || std::ranges::none_of(record.fields, holds_digit);
}

Result<Columns> columns_of(Record const& record)
{
    Columns columns;
    columns.count = record.fields.size();
    for (std::size_t i = 0; i < record.fields.size(); ++i) {
        auto const column = column_named(record.fields[i]);
        if (!column)
            continue;
        if (columns.*column)
            return wrong(record.line, fmt::format("columns {} and {} (\"{}\", \"{}\") mean the same; leave one out",
                                                  *(columns.*column) + 1, i + 1, record.fields[*(columns.*column)],
                                                  record.fields[i]));
        columns.*column = i;
    }
    if (!columns.from || (!columns.to && !columns.length))
        return wrong(record.line, fmt::format("no column is called \"{}\"; a right heading is from,to or from,to,at",
                                              columns.from ? "to" : "from"));
    return columns;
}

/// What one list is written with.
struct Dialect {
    char separator = ',';
    std::optional<FrameRate> rate;
};

Result<Time> time_of(Record const& record, std::size_t column, std::optional<FrameRate> rate)
{
    std::string text = record.fields[column];
    if (std::ranges::count(text, ',') == 1 && text.find('.') == std::string::npos)
        text[text.find(',')] = '.'; // a decimal comma: one between fields would not stand inside one
    auto const time = parse_time(text, rate);
    return time ? time
                : wrong(record.line, fmt::format("column {}: {}; a right line is 0:10,0:25.5", column + 1,
                                                 text.empty() ? "a time is missing" : time.error().what));
}

Result<KeptSpan> piece_of(Record const& record, Columns const& columns, Time next, std::optional<FrameRate> rate)
{
    auto const& fields = record.fields;
    std::size_t const needed = std::max(*columns.from, columns.to ? *columns.to : *columns.length) + 1;
    if (fields.size() < needed || fields.size() > columns.count)
        return wrong(record.line, fmt::format("{} values; a piece is from,to or from,to,at{}", fields.size(),
                                              columns.count == 3 ? "" : ", as many values as the heading has"));
    TRY_ASSIGN(Time const from, time_of(record, *columns.from, rate));
    TRY_ASSIGN(Time to, time_of(record, columns.to ? *columns.to : *columns.length, rate));
    if (from > kLatestTime || to > kLatestTime)
        return wrong(record.line, "no film is that long");
    if (!columns.to)
        to += from;
    Time at = next;
    if (columns.at && *columns.at < fields.size() && !fields[*columns.at].empty()) {
        TRY_ASSIGN(at, time_of(record, *columns.at, rate));
    }
    if (to <= from)
        return wrong(record.line, columns.to ? fmt::format("the piece ends at {} and begins at {}", fields[*columns.to],
                                                           fields[*columns.from])
                                             : fmt::format("the piece is {} long", fields[*columns.length]));
    if (at < Time{0} || from < Time{0})
        return wrong(record.line, "a piece cannot begin before its film");
    if (to > kLatestTime || at > kLatestTime)
        return wrong(record.line, "no film is that long");
    return KeptSpan{{from, to}, {at, at + (to - from)}};
}

/// `line` is the number of the first line of `text`.
Result<std::vector<CutShot>> shots_of(std::string_view text, int line, Dialect const& dialect)
{
    Reader reader(text, dialect.separator, line);
    std::vector<CutShot> shots;
    Columns columns{0, 1, 2, {}, 3};
    bool first = true;
    Time next{0};
    while (!reader.at_end()) {
        TRY_ASSIGN(auto record, reader.record());
        for (std::string& field : record.fields)
            field = trimmed(field);
        if (std::ranges::all_of(record.fields, &std::string::empty))
            continue;
        if (std::exchange(first, false) && is_heading(record)) {
            TRY_ASSIGN(columns, columns_of(record));
            continue;
        }
        while (record.fields.size() > columns.count && record.fields.back().empty())
            record.fields.pop_back();
        TRY_ASSIGN(KeptSpan const piece, piece_of(record, columns, next, dialect.rate));
        next = piece.target.to;
        shots.push_back({0, piece});
    }
    return shots;
}

bool same_pieces(std::vector<CutShot> const& a, std::vector<CutShot> const& b)
{
    return std::ranges::equal(a, b, {}, &CutShot::span, &CutShot::span);
}

/// The separator that the line `sep=;` names, which some spreadsheets write first; that line is taken off.
Result<std::optional<char>> take_separator_line(std::string_view& text)
{
    std::string_view const line = text.substr(0, text.find_first_of("\r\n"));
    if (line.size() < 4 || (line.substr(0, 4) != "sep=" && line.substr(0, 4) != "SEP="))
        return std::optional<char>{};
    if (line.size() != 5 || std::string_view{",;\t"}.find(line[4]) == std::string_view::npos)
        return wrong(1, "values may stand between commas, semicolons or tabs: sep=, or sep=;");
    char const separator = line[4];
    text.remove_prefix(line.size());
    text.remove_prefix(text.starts_with("\r\n") ? 2 : text.empty() ? 0 : 1);
    return std::optional<char>{separator};
}

/// Without a line `sep=`: the one separator with which the whole list can be read.
Result<std::vector<CutShot>> shots_by_likeliest(std::string_view text, std::optional<FrameRate> rate)
{
    std::optional<std::vector<CutShot>> read;
    std::optional<Error> error;
    std::string_view const line = text.substr(std::min(text.find_first_not_of("\r\n"), text.size()));
    std::string_view const first = line.substr(0, line.find_first_of("\r\n"));
    for (char const separator : {';', '\t', ','}) {
        if (separator != ',' && first.find(separator) == std::string_view::npos)
            continue;
        auto shots = shots_of(text, 1, {separator, rate});
        if (!shots) {
            // Commas are the standard's: their mistake is told where the first line holds one and no semicolon.
            if (!error || (separator == ',' && first.find(',') != std::string_view::npos &&
                           first.find(';') == std::string_view::npos))
                error = shots.error();
        } else if (read && !same_pieces(*read, *shots)) {
            return wrong(1, "the values can be read with two separators; write sep=; or sep=, as the first line");
        } else {
            read = *shots;
        }
    }
    if (read)
        return *read;
    return *error;
}

} // namespace

Result<CutReading> parse_csv_cut(std::string_view text, CutOptions const& options)
{
    if (text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF"))
        return wrong(1, "this is UTF-16 text; save the spreadsheet as \"CSV UTF-8\"");
    text = without_byte_order_mark(text);
    TRY_ASSIGN(auto const separator, take_separator_line(text));
    TRY_ASSIGN(auto const shots,
               separator ? shots_of(text, 2, {*separator, options.rate}) : shots_by_likeliest(text, options.rate));
    return cut_of_shots({shots, {}}, {CutSource{}}, {});
}

} // namespace tabard::pipeline
