#pragma once
#include <string>
#include <string_view>

namespace tabard::pipeline {

/// Letters and digits of a file's name: folders, its extension, case, signs and percent coding (RFC 3986) do not count.
std::string plain_name(std::string_view name);

/// Whether two names mean one file. Names of signs alone mean none.
bool same_source_name(std::string_view a, std::string_view b);

/// Whether `reel` may be `name` cut to the eight characters that a reel has (CMX 3600).
bool is_shortened(std::string_view reel, std::string_view name);

/// Whether a name ends as a file's does: "lantern.mp4", not "Verse" or "Take 2.final".
bool is_file_name(std::string_view name);

/// Whether two paths or addresses may be one file: equal from their ends on, as far as both go.
bool same_path(std::string_view a, std::string_view b);

/// "lantern.mp4" of "file:///films/lantern.mp4", without percent coding.
std::string file_name(std::string_view path);

} // namespace tabard::pipeline
