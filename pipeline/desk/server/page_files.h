#pragma once
#include <span>
#include <string_view>

namespace tabard::pipeline {

/// A file of the page, compiled into the program.
struct PageFile {
    std::string_view name; ///< "desk.js"; empty: the page itself
    std::string_view type; ///< "text/javascript; charset=utf-8"
    std::string_view text;
};

std::span<PageFile const> page_files();

} // namespace tabard::pipeline
