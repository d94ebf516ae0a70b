#pragma once
#include "overlay/base/result.h"

#include <filesystem>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

// A request to the desk and its answer, without a word of the library that carries them. Paths are those behind the
// token.
namespace tabard::pipeline {

struct Request {
    std::string path;                         ///< its first word: "layer" of "layer/0a1b"
    std::string rest;                         ///< what follows it: "0a1b"
    std::map<std::string, std::string> query; ///< decoded
    std::string body;                         ///< of a POST

    /// Empty where it is not there.
    std::string value(std::string const& key) const;
    /// None where it is not there, or no number that a film's time can be.
    std::optional<double> seconds(std::string const& key) const;
};

struct Answer {
    int status = 200;
    std::string type = "application/json";
    std::string body;
    std::vector<std::pair<std::string, std::string>> headers;
    std::optional<std::filesystem::path> file; ///< in place of a body: sent in the ranges that were asked for
};

/// {"what": ..., "fix": ...}. A message "what; fix" is divided.
Answer refusal(int status, std::string_view what);
/// As refusal(), with the status that belongs to the kind.
Answer refusal(Error const& error);

using Handler = std::function<Answer(Request const&)>;

/// Who answers what. Handlers are called from several threads at once.
struct Routes {
    std::map<std::string, Handler> get;  ///< by a path's first word
    std::map<std::string, Handler> post; ///< the same
};

} // namespace tabard::pipeline
