#include "overlay/base/utf8.h"
#include "overlay/drawing/fonts.h"
#include "overlay/drawing/theme.h"
#include "overlay/music/names/chord_name.h"
#include "pipeline/check/rules/rules.h"
#include "pipeline/check/rules/text_in_words.h"

#include <algorithm>
#include <set>
#include <string>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace tabard::pipeline {
namespace {

bool is_plain(std::string_view text)
{
    return std::ranges::all_of(text, [](char sign) { return static_cast<unsigned char>(sign) < 0x80; });
}

/// "U+1F469 U+200D U+1F467", as tables of signs name it.
std::string code_points(std::string_view letter)
{
    std::string names;
    for (; !letter.empty(); letter.remove_prefix(std::max<std::size_t>(1, utf8_length(letter))))
        names += fmt::format("{}U+{:04X}", names.empty() ? "" : " ", static_cast<unsigned>(utf8_code_point(letter)));
    return names;
}

class Finder {
public:
    std::vector<Finding> find(CheckInput const& input)
    {
        look(input.lesson.title.value, input.lesson.title.at, std::nullopt);
        for (SectionSpan const& span : input.timeline.sections())
            look(span.name, span.at, span.in);
        for (TextSpan const& span : input.timeline.texts())
            look(span.text, span.at, span.in);
        for (ChordSpan const& span : input.timeline.chords()) {
            auto const label = input.lesson.label(span.name);
            look(label.base + label.raised + label.bass, span.at, span.in);
        }
        return std::move(m_findings);
    }

private:
    /// Each text once, however often it is shown.
    void look(std::string const& text, SourcePosition at, std::optional<Time> time)
    {
        if (is_plain(text) || !m_seen.insert(text).second)
            return;
        auto const missing = overlay::letters_without_glyphs(text, overlay::default_theme().font);
        if (missing.empty())
            return;
        std::vector<std::string> named;
        for (auto const& letter : missing)
            named.push_back(fmt::format("{} ({})", letter, code_points(letter)));
        m_findings.push_back({kMissingSign.severity, std::string{kMissingSign.code}, at, time,
                              fmt::format("'{}' comes out with an empty box for {}: no installed font has it",
                                          text_in_words(text), fmt::join(named, ", ")),
                              "write it otherwise, or install a font that has it (Debian: fonts-symbola for emoji and "
                              "signs, fonts-noto-core for scripts)"});
    }

    std::set<std::string> m_seen;
    std::vector<Finding> m_findings;
};

std::vector<Finding> find(CheckInput const& input) { return Finder{}.find(input); }

} // namespace

Rule const kMissingSign{
    "missing-sign", Severity::warning, "a sign that no installed font has",
    "Letters that the theme's font lacks come from others: DejaVu Sans, Noto Sans, Symbola, then whatever is "
    "installed. "
    "A sign that none of them has is drawn as an empty box. Emoji are drawn as outlines in one colour.",
    find};

} // namespace tabard::pipeline
