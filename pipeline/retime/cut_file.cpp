#include "pipeline/retime/cut_file.h"

#include "pipeline/retime/csv_cut.h"
#include "pipeline/retime/edl_cut.h"
#include "pipeline/retime/otio_cut.h"

#include <algorithm>
#include <cctype>
#include <fstream>
#include <iterator>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

using Parser = Result<CutReading> (*)(std::string_view, CutOptions const&);

Parser parser_for(std::filesystem::path const& path)
{
    std::string extension = path.extension().string();
    std::ranges::transform(extension, extension.begin(), [](unsigned char sign) { return std::tolower(sign); });
    if (extension == ".edl")
        return parse_edl_cut;
    if (extension == ".otio")
        return parse_otio_cut;
    if (extension == ".csv")
        return parse_csv_cut;
    return nullptr;
}

Result<std::string> content_of(std::filesystem::path const& path)
{
    std::error_code error;
    if (!std::filesystem::exists(path, error))
        return Error{ErrorKind::not_found, fmt::format("there is no cut list {}", path.string())};
    std::ifstream file(path, std::ios::binary);
    auto const size = std::filesystem::file_size(path, error);
    if (error || !file)
        return Error{ErrorKind::io, fmt::format("cannot read {}", path.string())};
    if (size > kMostCutListBytes)
        return Error{ErrorKind::invalid_input,
                     fmt::format("{} is larger than any cut list ({} MB)", path.string(), kMostCutListBytes >> 20)};
    return std::string{std::istreambuf_iterator<char>(file), {}};
}

} // namespace

bool is_cut_list(std::filesystem::path const& path) { return parser_for(path) != nullptr; }

Result<CutReading> read_cut(std::filesystem::path const& path, CutOptions const& options)
{
    Parser const parse = parser_for(path);
    if (parse == nullptr)
        return Error{ErrorKind::invalid_input,
                     fmt::format("{} is no cut list: its name should end in .edl, .otio or .csv", path.string())};
    TRY_ASSIGN(std::string const text, content_of(path));
    auto reading = parse(text, options);
    if (!reading)
        return Error{reading.error().kind, fmt::format("{}: {}", path.string(), reading.error().what)};
    return reading;
}

} // namespace tabard::pipeline
