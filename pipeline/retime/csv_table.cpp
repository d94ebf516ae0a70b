#include "pipeline/retime/csv_table.h"

#include "overlay/base/caseless.h"
#include "pipeline/retime/cut_source.h"
#include "pipeline/retime/short_list.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <utility>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr std::size_t kMostTitles = 10; ///< records above a heading

bool is_time(CsvRecord const& record, std::size_t column, std::optional<FrameRate> rate)
{
    return column < record.fields.size() && csv_time(record, column, rate);
}

/// Two times that stand at the front, as in a list without a heading.
bool is_plain_piece(CsvRecord const& record, std::optional<FrameRate> rate)
{
    return is_time(record, 0, rate) && is_time(record, 1, rate);
}

bool holds_no_digit(CsvRecord const& record)
{
    return std::ranges::none_of(
        record.fields, [](std::string const& field) { return field.find_first_of("0123456789") != std::string::npos; });
}

/// Takes titles and heading off. None where there is no heading.
Result<std::optional<CsvColumns>> take_heading(std::vector<CsvRecord>& records, std::vector<std::string>& heading,
                                               std::optional<FrameRate> rate)
{
    std::optional<Error> first_error;
    for (std::size_t i = 0; i < records.size() && i < kMostTitles && !is_plain_piece(records[i], rate); ++i) {
        if (!names_columns(records[i]))
            continue;
        auto columns = columns_under(records[i]);
        if (columns) {
            heading = records[i].fields;
            records.erase(records.begin(), records.begin() + static_cast<std::ptrdiff_t>(i) + 1);
            return std::optional{*std::move(columns)};
        }
        if (!first_error)
            first_error = columns.error();
    }
    if (first_error)
        return *first_error;
    if (!records.empty() && holds_no_digit(records[0]))
        return columns_under(records[0]).error();
    return std::optional<CsvColumns>{};
}

/// "Total,,80.5": the last record sums up and is no piece.
bool is_total(CsvRecord const& record, CsvColumns const& columns, std::optional<FrameRate> rate)
{
    constexpr std::array<std::string_view, 10> kWords{"total", "totals", "sum",    "summe",  "gesamt",
                                                      "somme", "suma",   "totale", "totaal", "overall"};
    auto const first = std::ranges::find_if_not(record.fields, &std::string::empty);
    std::string word = caseless(*first);
    word = word.substr(0, word.find_first_of(" :"));
    return std::ranges::find(kWords, word) != kWords.end() && !is_time(record, *columns.from, rate);
}

enum class Answer { yes, no, empty, other };

Answer answer_of(std::string const& field)
{
    constexpr std::array<std::string_view, 18> kYes{"\u2713", "\u2714", "\u2705", "\u2611",  "yes", "y",
                                                    "true",   "1",      "keep",   "kept",    "use", "x",
                                                    "ja",     "oui",    "si",     "s\u00ED", "ok",  "in"};
    constexpr std::array<std::string_view, 20> kNo{
        "\u2717",  "\u2718", "\u274C",  "\u2715", "no",   "n",   "false", "0",   "cut", "remove",
        "removed", "delete", "deleted", "drop",   "skip", "out", "nein",  "non", "nee", "weg"};
    std::string const word = caseless(field);
    if (word.empty())
        return Answer::empty;
    if (std::ranges::find(kYes, word) != kYes.end())
        return Answer::yes;
    return std::ranges::find(kNo, word) != kNo.end() ? Answer::no : Answer::other;
}

/// Leaves out the records that a column says are not kept: those of `no`.
Result<void> keep_only(CsvTable& table, std::size_t column, Answer no)
{
    std::vector<CsvRecord> kept;
    std::vector<std::string> lines;
    bool any_empty = false;
    bool any_yes = false;
    for (CsvRecord& record : table.records) {
        Answer const answer = answer_of(field_of(record, column));
        if (answer == Answer::other)
            return wrong_line(record.line, fmt::format("column {}: '{}' says neither yes nor no; write yes or no, or "
                                                       "take the column out",
                                                       column + 1, field_of(record, column)));
        any_empty = any_empty || answer == Answer::empty;
        any_yes = any_yes || answer == Answer::yes;
        if (answer == no)
            lines.push_back(std::to_string(record.line));
        else
            kept.push_back(std::move(record));
    }
    if (no == Answer::no && any_empty && any_yes)
        return wrong_line(kept.empty() ? 1 : kept[0].line,
                          fmt::format("column {}: some lines say that they are kept and some say nothing; write yes or "
                                      "no in each",
                                      column + 1));
    table.records = std::move(kept);
    if (!lines.empty())
        table.remarks.push_back(fmt::format("Column {} of the list says that line{} {} {} not kept.", column + 1,
                                            lines.size() == 1 ? "" : "s", short_list(lines),
                                            lines.size() == 1 ? "is" : "are"));
    return {};
}

/// Sound has lines of its own in some lists; layers of pictures cannot be told from what lies under them.
Result<void> keep_picture(CsvTable& table, std::size_t column)
{
    auto const is_sound = [&](CsvRecord const& record) { return caseless(field_of(record, column)).starts_with('a'); };
    auto const is_picture = [&](CsvRecord const& record) {
        return caseless(field_of(record, column)).starts_with('v');
    };
    if (std::ranges::any_of(table.records, is_picture) && std::erase_if(table.records, is_sound) > 0)
        table.remarks.push_back(fmt::format("Column {} of the list has lines of sound too; those of the picture are "
                                            "followed.",
                                            column + 1));
    auto const other = std::ranges::find_if(table.records, [&](CsvRecord const& record) {
        return field_of(record, column) != field_of(table.records[0], column);
    });
    if (other == table.records.end())
        return {};
    return wrong_line(other->line,
                      fmt::format("column {}: pieces of two tracks, '{}' and '{}'; give the list of one", column + 1,
                                  field_of(table.records[0], column), field_of(*other, column)));
}

/// Pieces run as they were filmed: a list of pieces has no way to say more.
Result<void> check_speed(CsvRecord const& record, std::size_t column)
{
    constexpr std::array<std::string_view, 14> kPlain{"",     "1",     "1.0", "1.00", "1,0",   "1,00",   "100",
                                                      "100%", "100 %", "1x",  "1.0x", "100.0", "100.00", "100.00%"};
    std::string const speed = caseless(field_of(record, column));
    if (std::ranges::find(kPlain, speed) != kPlain.end())
        return {};
    return wrong_line(record.line,
                      fmt::format("column {}: a piece cannot run at another speed ({}); give the cut as an "
                                  "edit list (.edl) or a timeline (.otio)",
                                  column + 1, speed));
}

/// "lesson.mp4" and not "verse 2" or "v1.2".
bool is_file_name(std::string const& name)
{
    auto const point = name.rfind('.');
    std::string_view const ending = point == std::string::npos ? "" : std::string_view{name}.substr(point + 1);
    auto const is_letter = [](char sign) { return (sign >= 'a' && sign <= 'z') || (sign >= 'A' && sign <= 'Z'); };
    return point != 0 && ending.size() >= 2 && ending.size() <= 4 && is_letter(ending.front());
}

/// What nobody may have meant as a note: yes and no under a heading that is not known.
void remark_on_answers(CsvTable& table, std::vector<std::string> const& heading)
{
    for (std::size_t const column : table.columns.unknown) {
        std::vector<std::string> no;
        bool yes = false;
        bool other = false;
        for (CsvRecord const& record : table.records) {
            std::string const& field = field_of(record, column);
            Answer const answer = answer_of(field);
            bool const number = field == "0" || field == "1";
            other = other || answer == Answer::other || number;
            yes = yes || answer == Answer::yes;
            if (answer == Answer::no)
                no.push_back(std::to_string(record.line));
        }
        if (!other && yes && !no.empty())
            table.remarks.push_back(fmt::format("Column {} (\"{}\") of the list says no in line {}, which is read as a "
                                                "note; call it keep to leave these lines out.",
                                                column + 1, heading[column], short_list(no)));
    }
}

/// A table that was sorted by something else: its lines are the order of the new film.
void remark_on_order(CsvTable& table)
{
    for (std::size_t const column : table.columns.order) {
        std::vector<int> numbers;
        for (CsvRecord const& record : table.records) {
            std::string const& field = field_of(record, column);
            int number = 0;
            if (std::from_chars(field.data(), field.data() + field.size(), number).ec == std::errc())
                numbers.push_back(number);
        }
        if (!table.columns.at && numbers.size() == table.records.size() && !std::ranges::is_sorted(numbers))
            table.remarks.push_back(fmt::format("Column {} of the list numbers the pieces in another order than their "
                                                "lines; they are taken as the lines stand.",
                                                column + 1));
    }
}

/// "1.234" is 1234 where other values have decimal commas.
Result<void> check_decimals(CsvTable const& table)
{
    CsvColumns const& columns = table.columns;
    std::optional<std::pair<int, std::size_t>> point;
    bool comma = false;
    for (CsvRecord const& record : table.records)
        for (auto const column : {columns.from, columns.to, columns.at, columns.length})
            if (column) {
                std::string const& field = field_of(record, *column);
                comma = comma || field.find(',') != std::string::npos;
                if (!point && field.find('.') != std::string::npos)
                    point = {record.line, *column};
            }
    if (!comma || !point)
        return {};
    return wrong_line(point->first, fmt::format("column {}: a full stop, and other times have decimal commas; write "
                                                "one of the two everywhere",
                                                point->second + 1));
}

CsvColumns columns_without_heading()
{
    CsvColumns columns;
    columns.from = 0;
    columns.to = 1;
    columns.at = 2;
    return columns;
}

/// A column names films where all its values are file names or one is that of the footage, or where it is said to name
/// reels and names two.
void forget_names_of_pieces(CsvTable& table, std::string const& footage)
{
    auto& file = table.columns.file;
    auto& reel = table.columns.reel;
    auto const all_are_files = [&](std::size_t column) {
        return std::ranges::all_of(table.records,
                                   [&](CsvRecord const& record) { return is_file_name(field_of(record, column)); });
    };
    auto const one_is_footage = [&](std::size_t column) {
        return !footage.empty() && std::ranges::any_of(table.records, [&](CsvRecord const& record) {
            std::string const& name = field_of(record, column);
            return !name.empty() && source_called("", name, "").is_called(footage);
        });
    };
    if (file && !all_are_files(*file) && !one_is_footage(*file))
        file.reset();
    bool const two_reels = reel && std::ranges::any_of(table.records, [&](CsvRecord const& record) {
                               return field_of(record, *reel) != field_of(table.records[0], *reel);
                           });
    if (reel && !two_reels && !all_are_files(*reel))
        reel.reset();
}

/// What the third values of a table without a heading mean.
Result<void> settle_third_column(CsvTable& table, std::optional<FrameRate> rate)
{
    auto const& records = table.records;
    bool const all_three = !records.empty() && std::ranges::all_of(records, [](CsvRecord const& record) {
        return record.fields.size() == 3 && !record.fields[2].empty();
    });
    if (!all_three)
        return {};
    auto const counts_from = [&](std::size_t first) {
        for (std::size_t i = 0; i < records.size(); ++i)
            if (records[i].fields[0] != std::to_string(first + i))
                return false;
        return records.size() > 1;
    };
    if (counts_from(0) || counts_from(1))
        return wrong_line(records[0].line,
                          "column 1 seems to count the lines; write a heading above them, as no,from,to");
    bool const lengths = std::ranges::all_of(records, [&](CsvRecord const& record) {
        auto const from = csv_time(record, 0, rate);
        auto const to = csv_time(record, 1, rate);
        auto const third = csv_time(record, 2, rate);
        return from && to && third && *from >= Time{0} && *to <= from_ticks(1'000'000, 1, 1) && *third == *to - *from;
    });
    if (!lengths)
        return {};
    if (records.size() == 1)
        return wrong_line(records[0].line,
                          "the third value may be the length of the piece or its place in the new film; "
                          "write the heading from,to,length or from,to,at above it");
    table.columns.at.reset();
    table.remarks.push_back(
        "The list has no heading: the third value of each line is as long as its piece and is read as "
        "its length.");
    return {};
}

} // namespace

std::string const& field_of(CsvRecord const& record, std::size_t column)
{
    static std::string const none;
    return column < record.fields.size() ? record.fields[column] : none;
}

Result<CsvTable> csv_table(std::vector<CsvRecord> records, CutOptions const& options)
{
    auto const rate = options.rate;
    CsvTable table;
    std::vector<std::string> heading;
    TRY_ASSIGN(auto const columns, take_heading(records, heading, rate));
    table.has_heading = columns.has_value();
    table.columns = columns ? *columns : columns_without_heading();
    table.records = std::move(records);
    if (table.records.size() > 1 && is_total(table.records.back(), table.columns, rate))
        table.records.pop_back();
    for (CsvRecord& record : table.records)
        while (record.fields.size() > table.columns.count && record.fields.back().empty())
            record.fields.pop_back();
    for (std::size_t const column : table.columns.keep)
        TRY_VOID(keep_only(table, column, Answer::no));
    for (std::size_t const column : table.columns.remove)
        TRY_VOID(keep_only(table, column, Answer::yes));
    for (std::size_t const column : table.columns.track)
        TRY_VOID(keep_picture(table, column));
    for (CsvRecord const& record : table.records)
        for (std::size_t const column : table.columns.speed)
            TRY_VOID(check_speed(record, column));
    forget_names_of_pieces(table, options.footage);
    if (!table.has_heading)
        TRY_VOID(settle_third_column(table, rate));
    TRY_VOID(check_decimals(table));
    remark_on_answers(table, heading);
    remark_on_order(table);
    return table;
}

Result<Time> csv_time(CsvRecord const& record, std::size_t column, std::optional<FrameRate> rate)
{
    std::string text = record.fields[column];
    for (std::string_view const unit : {"seconds", "secs", "sec", "sek", "s"})
        if (auto const digit = text.find_last_of("0123456789");
            digit != std::string::npos && text.size() > unit.size() && text.ends_with(unit) &&
            text.find_first_not_of(' ', digit + 1) == text.size() - unit.size()) {
            text.resize(digit + 1);
            break;
        }
    if (std::ranges::count(text, ',') == 1 && text.find('.') == std::string::npos)
        text[text.find(',')] = '.'; // a decimal comma: one between fields would not stand inside one
    auto const time = parse_time(text, rate);
    return time ? time
                : wrong_line(record.line, fmt::format("column {}: {}; a right line is 0:10,0:25.5", column + 1,
                                                      text.empty() ? "a time is missing" : time.error().what));
}

} // namespace tabard::pipeline
