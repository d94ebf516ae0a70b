#include "tests/pipeline/media/clips.h"

#include <algorithm>
#include <array>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <gtest/gtest.h>
#include <unistd.h>

namespace tabard::pipeline::clips {
namespace {

struct Folder {
    std::filesystem::path path =
        std::filesystem::temp_directory_path() / fmt::format("tabard-media-test-{}", ::getpid());
    Folder() { std::filesystem::create_directories(path); }
    ~Folder()
    {
        std::error_code ignored;
        std::filesystem::remove_all(path, ignored);
    }
};

std::vector<std::string> lines(std::string const& text)
{
    std::vector<std::string> result;
    std::istringstream stream{text};
    for (std::string line; std::getline(stream, line);)
        if (!line.empty())
            result.push_back(line);
    return result;
}

std::string first_field(std::string const& line) { return line.substr(0, line.find(',')); }

} // namespace

std::filesystem::path path_for(std::string const& name)
{
    static Folder const folder;
    return folder.path / name;
}

std::string run(std::string const& command)
{
    std::string output;
    FILE* pipe = ::popen(command.c_str(), "r");
    if (!pipe)
        throw std::runtime_error("cannot run " + command);
    char buffer[4096];
    for (std::size_t n = 0; (n = std::fread(buffer, 1, sizeof buffer, pipe)) > 0;)
        output.append(buffer, n);
    EXPECT_EQ(::pclose(pipe), 0) << command;
    return output;
}

std::filesystem::path make(std::string const& name, std::string const& arguments)
{
    auto const path = path_for(name);
    auto const command = fmt::format("ffmpeg -nostdin -v error -y {} '{}' 2>&1", arguments, path.string());
    std::string const words = run(command);
    if (!std::filesystem::exists(path))
        throw std::runtime_error(command + "\n" + words);
    return path;
}

std::filesystem::path simple(std::string const& name, double seconds, int rate, int group)
{
    // Starting a program costs more than these clips: each kind is made once and copied.
    static std::map<std::string, std::filesystem::path> made;
    auto const path = path_for(name);
    auto const kind = fmt::format("simple_{}_{}_{}{}", seconds, rate, group, path.extension().string());
    if (!made.contains(kind))
        made[kind] = make(kind, fmt::format("-f lavfi -i testsrc2=s=160x120:r={1} -f lavfi -i sine=440:r=48000 -t {0} "
                                            "-c:v libx264 -preset veryfast -g {2} -pix_fmt yuv420p -c:a aac",
                                            seconds, rate, group));
    std::filesystem::copy_file(made[kind], path, std::filesystem::copy_options::overwrite_existing);
    return path;
}

std::vector<std::string> picture_times(std::filesystem::path const& file, std::string const& stream)
{
    std::vector<std::string> times;
    for (auto const& line : lines(run(fmt::format("ffprobe -v error -select_streams {} -show_entries "
                                                  "frame=best_effort_timestamp_time -of csv=p=0 '{}'",
                                                  stream, file.string()))))
        times.push_back(first_field(line));
    return times;
}

std::vector<ProbedPacket> packets(std::filesystem::path const& file, std::string const& stream)
{
    // A packet with side data is printed on two lines: the time stands on the first, the hash on the second.
    std::vector<ProbedPacket> result;
    std::string pts;
    for (auto const& line : lines(run(fmt::format("ffprobe -v error -select_streams {} -show_data_hash md5 "
                                                  "-show_entries packet=pts_time,data_hash -of csv=p=0 '{}'",
                                                  stream, file.string())))) {
        if (auto const time = first_field(line); !time.empty())
            pts = time;
        if (auto const at = line.find("MD5:"); at != std::string::npos)
            result.push_back({pts, line.substr(at, 4 + 32)});
    }
    return result;
}

std::string probed(std::filesystem::path const& file, std::string const& stream, std::string const& entry)
{
    std::string const select = stream.empty() ? "" : "-select_streams " + stream;
    auto const found = lines(run(
        fmt::format("ffprobe -v error {} -show_entries {} -of default=nk=1:nw=1 '{}'", select, entry, file.string())));
    return fmt::format("{}", fmt::join(found, " "));
}

Result<WriteReport> rewrite(std::filesystem::path const& from, std::filesystem::path const& to, WriteOptions options,
                            ReadDamage* damage)
{
    TRY_ASSIGN(options.container, container_for(to));
    if (!options.encoder.preset && options.encoder.codec == VideoCodec::h264)
        options.encoder.preset = "ultrafast";
    TRY_ASSIGN(auto reader, MediaReader::open(from));
    TRY_ASSIGN(auto writer, FilmWriter::create(to, reader.info(), options));
    for (;;) {
        TRY_ASSIGN(auto picture, reader.next());
        if (!picture)
            break;
        TRY_VOID(writer.write(std::move(*picture)));
    }
    if (damage)
        *damage = reader.damage();
    return writer.finish();
}

std::vector<char> bytes(std::filesystem::path const& file)
{
    std::ifstream stream{file, std::ios::binary};
    return {std::istreambuf_iterator<char>{stream}, {}};
}

void write_bytes(std::filesystem::path const& file, std::vector<char> const& content)
{
    std::ofstream stream{file, std::ios::binary};
    stream.write(content.data(), static_cast<std::streamsize>(content.size()));
}

void set_matrix(std::filesystem::path const& file, std::array<std::int32_t, 9> const& matrix)
{
    // ISO/IEC 14496-12, track header, version 0: the matrix stands 40 bytes after the box type.
    auto content = bytes(file);
    std::string const type = "tkhd";
    auto at = std::search(content.begin(), content.end(), type.begin(), type.end());
    ASSERT_NE(at, content.end());
    at += 4 + 40;
    for (std::int32_t const value : matrix)
        for (int shift = 24; shift >= 0; shift -= 8)
            *at++ = static_cast<char>((static_cast<std::uint32_t>(value) >> shift) & 0xff);
    write_bytes(file, content);
}

} // namespace tabard::pipeline::clips
