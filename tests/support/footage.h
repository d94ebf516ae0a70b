#pragma once
#include <array>
#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace tabard::tests {

/// Makes a film with the ffmpeg program: `words` come between its input (`source`, a libavfilter source such as
/// "testsrc2=s=320x180:r=25:d=2") and the file. Aborts the test program if it cannot.
void make_footage(std::filesystem::path const& path, std::string const& source,
                  std::vector<std::string> const& words = {});

/// Overwrites the display matrix in every track header of an MP4 or MOV file (ISO/IEC 14496-12, 8.3.2): version 0
/// headers.
void set_display_matrix(std::filesystem::path const& path, std::array<std::int32_t, 9> const& matrix);

/// Lets the edit list of an MP4 file's first track begin later in the media (ISO/IEC 14496-12, 8.6.6; one edit, version
/// 0): by `ticks` of the track's clock, which are `milliseconds`, the movie's clock as libavformat writes it.
void begin_edit_later(std::filesystem::path const& path, std::uint32_t ticks, std::uint32_t milliseconds);

/// The rows that ffprobe prints (CSV without section names) for `entries` of the first video stream, or other `words`.
std::vector<std::string> ffprobe_rows(std::filesystem::path const& path, std::string const& entries,
                                      std::string const& streams = "v:0");

/// A hash of each packet of a stream, in file order.
std::vector<std::string> packet_hashes(std::filesystem::path const& path, std::string const& stream);

} // namespace tabard::tests
