#pragma once
#include <string>
#include <string_view>

namespace tabard::pipeline {

/// What tells names of files apart: letters and the digits between signs. Folders, the ending of a media file, case,
/// spaces and percent coding (RFC 3986) do not count.
std::string plain_name(std::string_view name);

/// Whether two names mean one file.
bool same_source_name(std::string_view a, std::string_view b);

/// Whether `reel` may stand for a file: the first eight letters and digits of its name, of A to Z alone (CMX 3600).
bool is_reel_of(std::string_view reel, std::string_view name);

/// Whether a name ends as that of a film, a sound or a still picture does.
bool is_file_name(std::string_view name);
bool is_still(std::string_view name);

/// Whether two paths or addresses may be one file: equal from their ends on, as far as both go.
bool same_path(std::string_view a, std::string_view b);

/// "lantern.mp4" of "file:///films/lantern.mp4", without percent coding.
std::string file_name(std::string_view path);

} // namespace tabard::pipeline
