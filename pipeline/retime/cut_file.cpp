#include "pipeline/retime/cut_file.h"

#include "overlay/base/small_letters.h"
#include "pipeline/files/file_text.h"
#include "pipeline/retime/csv_cut.h"
#include "pipeline/retime/cut_source.h"
#include "pipeline/retime/edl_cut.h"
#include "pipeline/retime/otio_cut.h"
#include "pipeline/retime/short_list.h"
#include "pipeline/time/timecode.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

using Parser = Result<CutReading> (*)(std::string_view, CutOptions const&);

Parser parser_for(std::filesystem::path const& path)
{
    std::string const extension = small_letters(path.extension().string());
    if (extension == ".edl")
        return parse_edl_cut;
    if (extension == ".otio")
        return parse_otio_cut;
    if (extension == ".csv")
        return parse_csv_cut;
    return nullptr;
}

/// A new film without anything of the old one is another film, and mostly another list.
Result<void> check_in_footage(CutReading const& reading, CutOptions const& options)
{
    if (lies_past(reading.map, options.footage_length))
        return Error{ErrorKind::invalid_input,
                     fmt::format("every piece begins after the end of the footage ({}). Is it the list of this film?",
                                 print_time(*options.footage_length))};
    return {};
}

/// Pieces that no frame of the footage is for are a sign of a wrong label, rate or film. Times by hand are rounded.
void doubt_ends(CutReading& reading, CutOptions const& options)
{
    if (!options.footage_length)
        return;
    Time const slack{kFlicksPerSecond};
    std::vector<std::string> pieces;
    for (KeptSpan const& span : reading.map.spans())
        if (span.source.to > *options.footage_length + slack || span.source.from < -slack)
            pieces.push_back(fmt::format("{} to {}", print_time(span.source.from), print_time(span.source.to)));
    if (!pieces.empty())
        reading.doubts.push_back({fmt::format("the cut takes more than there is of the footage, which lasts {}: {}",
                                              print_time(*options.footage_length), short_list(pieces)),
                                  "see whether the list is of this footage, and give its first label with "
                                  "--source-start or the list's rate with --rate"});
}

} // namespace

bool is_cut_list(std::filesystem::path const& path) { return parser_for(path) != nullptr; }

Result<CutReading> read_cut(std::filesystem::path const& path, CutOptions const& options)
{
    Parser const parse = parser_for(path);
    if (parse == nullptr)
        return Error{ErrorKind::invalid_input,
                     fmt::format("{} is no cut list: its name should end in .edl, .otio or .csv", path.string())};
    TRY_ASSIGN(std::string const text, read_file_text(path, kMostCutListBytes));
    auto reading = parse(text, options);
    if (!reading)
        return Error{reading.error().kind, fmt::format("{}: {}", path.string(), reading.error().what)};
    if (auto const keeps = check_in_footage(*reading, options); !keeps)
        return Error{keeps.error().kind, fmt::format("{}: {}", path.string(), keeps.error().what)};
    doubt_ends(*reading, options);
    return reading;
}

} // namespace tabard::pipeline
