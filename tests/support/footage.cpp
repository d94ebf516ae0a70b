#include "tests/support/footage.h"

#include "tests/support/run_program.h"

#include <array>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <sstream>
#include <string>
#include <vector>

namespace tabard::tests {
namespace {

[[noreturn]] void give_up(std::string const& why)
{
    std::fprintf(stderr, "footage for a test could not be made: %s\n", why.c_str());
    std::abort();
}

std::uint32_t big_endian(std::string const& bytes, std::size_t at)
{
    std::uint32_t value = 0;
    for (std::size_t i = 0; i < 4; ++i)
        value = value << 8 | static_cast<unsigned char>(bytes.at(at + i));
    return value;
}

void set_big_endian(std::string& bytes, std::size_t at, std::uint32_t value)
{
    for (std::size_t i = 0; i < 4; ++i)
        bytes.at(at + i) = static_cast<char>(value >> (24 - 8 * i));
}

} // namespace

void make_footage(std::filesystem::path const& path, std::string const& source, std::vector<std::string> const& words)
{
    std::vector<std::string> command = {"ffmpeg", "-v", "error", "-y", "-f", "lavfi", "-i", source};
    command.insert(command.end(), words.begin(), words.end());
    command.push_back(path);
    ProgramRun const run = run_program(command);
    if (run.exit != 0)
        give_up(run.err);
}

void set_display_matrix(std::filesystem::path const& path, std::array<std::int32_t, 9> const& matrix)
{
    std::string bytes = read_text(path);
    int found = 0;
    for (std::size_t at = bytes.find("tkhd"); at != std::string::npos; at = bytes.find("tkhd", at + 4), ++found) {
        std::size_t const to = at + 4 + 4 + 20 + 16; // version and flags; times, number, duration; reserved to volume
        for (std::size_t i = 0; i < 9; ++i)
            set_big_endian(bytes, to + 4 * i, static_cast<std::uint32_t>(matrix[i]));
    }
    if (found == 0)
        give_up("no track header in " + path.string());
    write_text(path, bytes);
}

void begin_edit_later(std::filesystem::path const& path, std::uint32_t ticks, std::uint32_t milliseconds)
{
    std::string bytes = read_text(path);
    std::size_t const box = bytes.find("elst");
    if (box == std::string::npos || big_endian(bytes, box + 8) != 1)
        give_up("no list of one edit in " + path.string());
    std::size_t const duration = box + 12, media_time = box + 16; // after version and flags, and the count
    set_big_endian(bytes, duration, big_endian(bytes, duration) - milliseconds);
    set_big_endian(bytes, media_time, big_endian(bytes, media_time) + ticks);
    write_text(path, bytes);
}

namespace {

std::vector<std::string> ffprobe_lines(std::vector<std::string> words, std::filesystem::path const& path)
{
    words.insert(words.begin(), {"ffprobe", "-v", "error"});
    words.insert(words.end(), {"-of", "csv=p=0", path});
    ProgramRun const run = run_program(words);
    if (run.exit != 0)
        give_up(run.err);
    std::vector<std::string> rows;
    std::istringstream lines(run.out);
    for (std::string line; std::getline(lines, line);)
        if (!line.empty())
            rows.push_back(line);
    return rows;
}

} // namespace

std::vector<std::string> ffprobe_rows(std::filesystem::path const& path, std::string const& entries,
                                      std::string const& streams)
{
    return ffprobe_lines({"-select_streams", streams, "-show_entries", entries}, path);
}

std::vector<std::string> packet_hashes(std::filesystem::path const& path, std::string const& stream)
{
    return ffprobe_lines({"-select_streams", stream, "-show_data_hash", "md5", "-show_entries", "packet=data_hash"},
                         path);
}

} // namespace tabard::tests
