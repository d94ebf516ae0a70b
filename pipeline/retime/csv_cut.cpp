#include "pipeline/retime/csv_cut.h"

#include "overlay/base/text_encoding.h"
#include "pipeline/retime/csv_columns.h"
#include "pipeline/retime/csv_table.h"
#include "pipeline/retime/cut_source.h"
#include "pipeline/time/timecode.h"

#include <algorithm>
#include <optional>
#include <utility>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// A table read with one separator.
struct Pieces {
    std::vector<CutShot> shots;
    std::vector<CutSource> sources; ///< at least one
    bool names_films = false;
    std::vector<std::string> remarks;
};

Result<KeptSpan> piece_of(CsvRecord const& record, CsvColumns const& columns, Time next, std::optional<FrameRate> rate)
{
    auto const& fields = record.fields;
    std::size_t const needed = std::max(*columns.from, columns.to ? *columns.to : *columns.length) + 1;
    if (fields.size() < needed || fields.size() > columns.count)
        return wrong_line(record.line, fmt::format("{} values; a piece is from,to or from,to,at{}", fields.size(),
                                                   columns.count == 3 ? "" : ", as many values as the heading has"));
    TRY_ASSIGN(Time const from, csv_time(record, *columns.from, rate));
    TRY_ASSIGN(Time to, csv_time(record, columns.to ? *columns.to : *columns.length, rate));
    if (from > kLatestTime || to > kLatestTime)
        return wrong_line(record.line, "no film is that long");
    if (!columns.to)
        to += from;
    Time at = next;
    if (columns.at && *columns.at < fields.size() && !fields[*columns.at].empty()) {
        TRY_ASSIGN(at, csv_time(record, *columns.at, rate));
    }
    if (to <= from)
        return wrong_line(record.line, columns.to ? fmt::format("the piece ends at {} and begins at {}",
                                                                fields[*columns.to], fields[*columns.from])
                                                  : fmt::format("the piece is {} long", fields[*columns.length]));
    if (at < Time{0} || from < Time{0})
        return wrong_line(record.line, "a piece cannot begin before its film");
    if (to > kLatestTime || at > kLatestTime)
        return wrong_line(record.line, "no film is that long");
    return KeptSpan{{from, to}, {at, at + (to - from)}};
}

/// A length or an end in the new film that is not that of the piece: it would have to run at another speed.
Result<void> check_length(CsvRecord const& record, CsvColumns const& columns, KeptSpan const& piece,
                          std::optional<FrameRate> rate)
{
    constexpr Time kRounding = from_ticks(1, 1, 1) + from_ticks(1, 1, 20); // lengths may be in whole seconds
    auto const time_in = [&](std::optional<std::size_t> column) -> std::optional<Time> {
        if (!column || *column >= record.fields.size() || record.fields[*column].empty())
            return std::nullopt;
        auto const time = csv_time(record, *column, rate);
        return time && *time <= kLatestTime && *time >= -kLatestTime ? std::optional{*time} : std::nullopt;
    };
    auto const length = columns.to ? time_in(columns.length) : std::nullopt;
    auto const at = time_in(columns.at);
    auto const at_end = time_in(columns.at_end);
    std::optional<Time> const said = length ? length : at && at_end ? std::optional{*at_end - *at} : std::nullopt;
    if (!said || std::chrono::abs(*said - piece.source.length()) <= kRounding)
        return {};
    return wrong_line(record.line,
                      fmt::format("the piece lasts {} from its start to its end, and another column says {}; where it "
                                  "runs at another speed, give the cut as an edit list (.edl) or a timeline (.otio)",
                                  print_time(piece.source.length()), print_time(*said)));
}

/// The index of the film of those names, a new one where it was not named before; the footage has none.
std::size_t source_of(std::string const& reel, std::string const& file, std::vector<CutSource>& sources)
{
    CutSource const named = reel.empty() && file.empty() ? CutSource{} : source_called(reel, "", file);
    auto const found = std::ranges::find_if(sources, [&](CutSource const& source) {
        return source.reel == named.reel && source.file == named.file && source.clip == named.clip;
    });
    auto const index = static_cast<std::size_t>(found - sources.begin());
    if (found == sources.end())
        sources.push_back(named);
    ++sources[index].uses;
    return index;
}

/// `line` is the number of the first line of `text`.
Result<Pieces> pieces_of(std::string_view text, int line, char separator, CutOptions const& options)
{
    auto const rate = options.rate;
    TRY_ASSIGN(auto records, read_csv_records(text, separator, line));
    TRY_ASSIGN(CsvTable const table, csv_table(std::move(records), options));
    Pieces pieces;
    pieces.remarks = table.remarks;
    pieces.names_films = table.columns.file || table.columns.reel;
    Time next{0};
    bool placed = false;
    for (CsvRecord const& record : table.records) {
        TRY_ASSIGN(KeptSpan const piece, piece_of(record, table.columns, next, rate));
        TRY_VOID(check_length(record, table.columns, piece, rate));
        placed = placed || piece.target.from != next;
        next = piece.target.to;
        auto const name = [&](std::optional<std::size_t> column) { return column ? field_of(record, *column) : ""; };
        pieces.shots.push_back({source_of(name(table.columns.reel), name(table.columns.file), pieces.sources), piece});
    }
    if (placed && !table.has_heading)
        pieces.remarks.push_back(
            "The list has no heading: the third value of a line is read as the place in the new film. "
            "Write the heading from,to,at or from,to,length to say what it is.");
    auto const short_and_early = [](CutShot const& shot) { return shot.span.source.to < Time{kFlicksPerSecond}; };
    if (!pieces.shots.empty() && std::ranges::all_of(pieces.shots, short_and_early))
        return wrong_line(table.records[0].line, "all pieces lie in the film's first second; where the table counts in "
                                                 "days, let its cells show h:mm:ss");
    return pieces;
}

bool same_pieces(Pieces const& a, Pieces const& b)
{
    return std::ranges::equal(a.shots, b.shots, {}, &CutShot::span, &CutShot::span);
}

/// What is said of a list that ends in the first twentieth of the footage; empty where it goes on.
std::string very_early(Pieces const& pieces, CutOptions const& options)
{
    if (!options.footage_length || pieces.sources.size() > 1 || pieces.shots.empty())
        return "";
    Time last{0};
    for (CutShot const& shot : pieces.shots)
        last = std::max(last, shot.span.source.to);
    if (last >= *options.footage_length / 20)
        return "";
    return fmt::format(
        "All pieces lie before {} of a film of {}: times are read as seconds or as minutes:seconds. Look "
        "whether the list means minutes.",
        print_time(last), print_time(*options.footage_length));
}

/// The separator that the line `sep=;` names, which some spreadsheets write first; that line is taken off.
Result<std::optional<char>> take_separator_line(std::string_view& text)
{
    std::string_view const line = text.substr(0, text.find_first_of("\r\n"));
    if (line.size() < 4 || (line.substr(0, 4) != "sep=" && line.substr(0, 4) != "SEP="))
        return std::optional<char>{};
    if (line.size() != 5 || std::string_view{",;\t"}.find(line[4]) == std::string_view::npos)
        return wrong_line(1, "values may stand between commas, semicolons or tabs: sep=, or sep=;");
    char const separator = line[4];
    text.remove_prefix(line.size());
    text.remove_prefix(text.starts_with("\r\n") ? 2 : text.empty() ? 0 : 1);
    return std::optional<char>{separator};
}

/// Without a line `sep=`: the one separator with which the whole list can be read.
Result<Pieces> pieces_by_likeliest(std::string_view text, CutOptions const& options)
{
    std::optional<Pieces> read;
    std::optional<Error> error;
    std::string_view const line = text.substr(std::min(text.find_first_not_of("\r\n"), text.size()));
    std::string_view const first = line.substr(0, line.find_first_of("\r\n"));
    for (char const separator : {';', '\t', ','}) {
        if (separator != ',' && text.find(separator) == std::string_view::npos)
            continue;
        auto pieces = pieces_of(text, 1, separator, options);
        if (!pieces) {
            // Commas are the standard's: their mistake is told where the first line holds one and no semicolon.
            if (!error || (separator == ',' && first.find(',') != std::string_view::npos &&
                           first.find(';') == std::string_view::npos))
                error = pieces.error();
        } else if (read && !same_pieces(*read, *pieces)) {
            return wrong_line(1, "the values can be read with two separators; write sep=; or sep=, as the first line");
        } else {
            read = *pieces;
        }
    }
    if (read)
        return *read;
    return *error;
}

} // namespace

Result<CutReading> parse_csv_cut(std::string_view bytes, CutOptions const& options)
{
    std::string const decoded = text_of_bytes(bytes);
    std::string_view text = decoded;
    TRY_ASSIGN(auto const separator, take_separator_line(text));
    TRY_ASSIGN(auto pieces, separator ? pieces_of(text, 2, *separator, options) : pieces_by_likeliest(text, options));
    if (pieces.sources.empty())
        pieces.sources.emplace_back();
    TRY_ASSIGN(auto reading,
               cut_of_shots({pieces.shots, {}}, pieces.sources, pieces.names_films ? options : CutOptions{}));
    if (auto remark = very_early(pieces, options); !remark.empty())
        pieces.remarks.push_back(std::move(remark));
    reading.remarks.insert(reading.remarks.begin(), pieces.remarks.begin(), pieces.remarks.end());
    return reading;
}

} // namespace tabard::pipeline
