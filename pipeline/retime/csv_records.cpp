#include "pipeline/retime/csv_records.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// Blanks that break no line count as blanks.
std::string trimmed(std::string text)
{
    for (std::string_view const blank : {"\u00A0", "\u202F"})
        for (auto at = text.find(blank); at != std::string::npos; at = text.find(blank, at))
            text.replace(at, blank.size(), " ");
    std::size_t const from = text.find_first_not_of(" \t");
    return from == std::string::npos ? "" : text.substr(from, text.find_last_not_of(" \t") - from + 1);
}

/// RFC 4180: fields between commas, quoted where they hold commas, quotes (doubled) or line ends.
class Reader {
public:
    Reader(std::string_view text, char separator, int line) : m_text(text), m_separator(separator), m_line(line) {}

    bool at_end() const { return m_at == m_text.size(); }

    Result<CsvRecord> record()
    {
        CsvRecord record{m_line, {}};
        do {
            TRY_ASSIGN(auto field, this->field());
            record.fields.push_back(trimmed(std::move(field)));
        } while (take(m_separator));
        if (!at_end() && !take('\n') && !(take('\r') && (take('\n') || true)))
            return wrong_line(m_line, "there is text after a closing quote");
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
        return wrong_line(opened, "a quote is opened and never closed");
    }

    std::string_view m_text;
    char m_separator;
    std::size_t m_at = 0;
    int m_line;
};

bool is_comment(CsvRecord const& record)
{
    auto const begins_with_digit = [](std::string const& field) {
        return !field.empty() && field.front() >= '0' && field.front() <= '9';
    };
    return record.fields[0].size() > 1 && record.fields[0].front() == '#' &&
           !begins_with_digit(record.fields[0].substr(1)) && std::ranges::none_of(record.fields, begins_with_digit);
}

} // namespace

Result<std::vector<CsvRecord>> read_csv_records(std::string_view text, char separator, int line)
{
    Reader reader(text, separator, line);
    std::vector<CsvRecord> records;
    while (!reader.at_end()) {
        TRY_ASSIGN(auto record, reader.record());
        if (!std::ranges::all_of(record.fields, &std::string::empty) && !is_comment(record))
            records.push_back(std::move(record));
    }
    return records;
}

Error wrong_line(int line, std::string const& what)
{
    return {ErrorKind::invalid_input, fmt::format("line {}: {}", line, what)};
}

} // namespace tabard::pipeline
