#include "pipeline/retime/csv_cut.h"

#include "overlay/base/characters.h"
#include "pipeline/retime/cut_source.h"
#include "pipeline/time/timecode.h"

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
    explicit Reader(std::string_view text) : m_text(text) {}

    bool at_end() const { return m_at == m_text.size(); }

    Result<Record> record()
    {
        Record record{m_line, {}};
        do {
            TRY_ASSIGN(auto field, this->field());
            record.fields.push_back(std::move(field));
        } while (take(','));
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
        std::size_t const end = std::min(m_text.find_first_of(",\r\n", m_at), m_text.size());
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
    std::size_t m_at = 0;
    int m_line = 1;
};

std::string trimmed(std::string const& text)
{
    std::size_t const from = text.find_first_not_of(" \t");
    return from == std::string::npos ? "" : text.substr(from, text.find_last_not_of(" \t") - from + 1);
}

Result<Time> time_of(std::string const& text, int line, std::optional<FrameRate> rate)
{
    auto const time = parse_time(text, rate);
    return time ? time : wrong(line, time.error().what);
}

Result<KeptSpan> piece_of(Record const& record, Time next, std::optional<FrameRate> rate)
{
    if (record.fields.size() < 2 || record.fields.size() > 3)
        return wrong(record.line, fmt::format("{} values; a piece is from,to or from,to,at", record.fields.size()));
    TRY_ASSIGN(Time const from, time_of(record.fields[0], record.line, rate));
    TRY_ASSIGN(Time const to, time_of(record.fields[1], record.line, rate));
    Time at = next;
    if (record.fields.size() == 3 && !record.fields[2].empty()) {
        TRY_ASSIGN(at, time_of(record.fields[2], record.line, rate));
    }
    if (to <= from)
        return wrong(record.line,
                     fmt::format("the piece ends at {} and begins at {}", record.fields[1], record.fields[0]));
    if (at < Time{0} || from < Time{0})
        return wrong(record.line, "a piece cannot begin before its film");
    if (to > kLatestTime || at > kLatestTime)
        return wrong(record.line, "no film is that long");
    return KeptSpan{{from, to}, {at, at + (to - from)}};
}

} // namespace

Result<CutReading> parse_csv_cut(std::string_view text, CutOptions const& options)
{
    text = without_byte_order_mark(text);
    Reader reader(text);
    std::vector<CutShot> shots;
    Time next{0};
    while (!reader.at_end()) {
        TRY_ASSIGN(auto record, reader.record());
        for (std::string& field : record.fields)
            field = trimmed(field);
        bool const header = record.line == 1 && record.fields.front() == "from";
        bool const blank = record.fields.size() == 1 && record.fields.front().empty();
        if (header || blank)
            continue;
        TRY_ASSIGN(KeptSpan const piece, piece_of(record, next, options.rate));
        next = piece.target.to;
        shots.push_back({0, piece});
    }
    return cut_of_shots(shots, {{{"the footage"}, static_cast<int>(shots.size())}}, {});
}

} // namespace tabard::pipeline
