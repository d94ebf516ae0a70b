#include "overlay/drawing/text_fit.h"
#include "pipeline/check/rules/rules.h"
#include "pipeline/check/rules/text_in_words.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

/// Texts up to this many bytes fit every picture.
constexpr std::size_t kSurelyFits = 40;

std::vector<Finding> find(CheckInput const& input)
{
    if (!input.film)
        return {};
    auto const stage = stage_of(input.lesson, input.film->displayed);
    std::map<std::string_view, bool> fits;
    std::vector<Finding> findings;
    for (TextSpan const& span : input.timeline.texts()) {
        auto const [known, is_new] = fits.try_emplace(span.text, true);
        if (is_new && span.text.size() > kSurelyFits)
            known->second = overlay::text_fits({span.text}, stage, overlay::default_theme());
        if (!known->second)
            findings.push_back(kLongText.at(
                span.at, span.in,
                fmt::format("text '{}' is too long for its card and ends with an ellipsis", text_in_words(span.text)),
                "say it in fewer words, or in two cues after each other"));
    }
    return findings;
}

} // namespace

Rule const kLongText{
    "long-text", Severity::warning, "a text that does not fit its card",
    "A text is set smaller until it fits the room that the layout leaves for it in this picture; what is still "
    "too long is cut off with an ellipsis. Measured with the default theme's letters.",
    find};

} // namespace tabard::pipeline
