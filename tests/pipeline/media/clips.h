#pragma once
#include "pipeline/media/read/media_reader.h"
#include "pipeline/media/write/film_writer.h"

#include <array>
#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

/// Small films made for one test by the ffmpeg program, and what ffprobe says about files: independent of our own code.
namespace tabard::pipeline::clips {

/// A fresh path for this test process. The folder goes away with the process.
std::filesystem::path path_for(std::string const& name);

/// Runs `ffmpeg ARGUMENTS name` and gives the path; aborts the test program with ffmpeg's words if it fails.
std::filesystem::path make(std::string const& name, std::string const& arguments);

/// Standard output of a shell command; "" and a test failure if it fails.
std::string run(std::string const& command);

/// Moving picture and a tone, H.264 and AAC: `seconds` long at `rate`, groups of `group` pictures.
std::filesystem::path simple(std::string const& name, double seconds = 2, int rate = 30, int group = 30);

struct ProbedPacket {
    std::string pts; ///< decimal seconds, as printed
    std::string hash;
    friend bool operator==(ProbedPacket const&, ProbedPacket const&) = default;
};

/// Presentation times of all decoded video pictures, on the stream's clock as ffprobe prints them (seconds).
std::vector<std::string> picture_times(std::filesystem::path const& file, std::string const& stream = "v:0");
std::vector<ProbedPacket> packets(std::filesystem::path const& file, std::string const& stream);
/// Values of ffprobe's with spaces between, e.g. ("v:0", "stream=color_transfer,pix_fmt"): in its order, not yours.
std::string probed(std::filesystem::path const& file, std::string const& stream, std::string const& entry);

/// Reads a film to its end and writes it again through our own reader and writer.
Result<WriteReport> rewrite(std::filesystem::path const& from, std::filesystem::path const& to,
                            WriteOptions options = {}, ReadDamage* damage = nullptr);

/// The track header box of the first track gets this display matrix.
void set_matrix(std::filesystem::path const& file, std::array<std::int32_t, 9> const& matrix);

std::vector<char> bytes(std::filesystem::path const& file);
void write_bytes(std::filesystem::path const& file, std::vector<char> const& content);

} // namespace tabard::pipeline::clips
