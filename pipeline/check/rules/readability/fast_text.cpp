#include "overlay/base/letters.h"
#include "pipeline/check/rules/rules.h"
#include "pipeline/check/rules/text_in_words.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr double kFastest = 17;

std::vector<Finding> find(CheckInput const& input)
{
    std::vector<Finding> findings;
    for (TextSpan const& span : input.timeline.texts()) {
        double const seconds = to_seconds(span.out - span.in);
        // As a reader counts them, spaces too.
        double const letters = static_cast<double>(count_letters(span.text));
        if (seconds > 0 && letters / seconds > kFastest)
            findings.push_back(
                kFastText.at(span.at, span.in,
                             fmt::format("text '{}' would have to be read at {:.0f} characters a second",
                                         text_in_words(span.text), letters / seconds),
                             fmt::format("show it for {:.1f} s, or say it in fewer words", letters / kFastest)));
    }
    return findings;
}

} // namespace

Rule const kFastText{
    "fast-text", Severity::warning, "a text that is gone before it is read",
    "Grown readers follow 15 to 20 characters a second (subtitle guides; no standard), and here hands and "
    "shapes want to be watched too. More than 17 a second, spaces counted, is too fast.",
    find};

} // namespace tabard::pipeline
