#include "pipeline/check/picture/contrast.h"

#include <algorithm>
#include <cmath>

namespace tabard::pipeline {
namespace {

constexpr float kSomeText = 0.02F; // of a cell: less is the edge of a letter that stands in the next one
constexpr std::size_t kMostLayers = 1024;

/// A theme in which nothing but text is to be seen, ink in red and soft ink in green: where a layer drawn with it has
/// colour, there text of that kind stands. (Dots and accents are grounds of their own, which the theme answers for.)
overlay::Theme text_alone(overlay::Theme theme)
{
    for (auto const part :
         {&overlay::Theme::card, &overlay::Theme::edge, &overlay::Theme::line, &overlay::Theme::string,
          &overlay::Theme::dot, &overlay::Theme::on_dot, &overlay::Theme::on_accent})
        theme.*part = {0, 0, 0, 0};
    theme.accent = {0, 0, 0};
    theme.ink = {255, 0, 0};
    theme.soft_ink = {0, 255, 0};
    return theme;
}

overlay::Colour rounded(Rgb colour)
{
    auto const part = [](float value) { return static_cast<std::uint8_t>(std::lround(255 * value)); };
    return {part(colour.red), part(colour.green), part(colour.blue)};
}

} // namespace

Grounds grounds(Grid const& means, RangeGrid const& ranges, ColourTags const& colour)
{
    Grounds result;
    for (std::size_t i = 0; i < kGridCells; ++i) {
        Cell darkest = means[i];
        darkest.luma = ranges[i].darkest;
        Cell lightest = means[i];
        lightest.luma = ranges[i].lightest;
        result[i] = {rounded(displayed(darkest, colour)), rounded(displayed(means[i], colour)),
                     rounded(displayed(lightest, colour))};
    }
    return result;
}

Result<ContrastMeter> ContrastMeter::create(overlay::Stage const& stage, overlay::Theme const& theme)
{
    TRY_ASSIGN(auto painter, OcclusionPainter::create(stage, text_alone(theme)));
    return ContrastMeter{theme, std::move(painter)};
}

std::vector<ContrastMeter::TextCell> const& ContrastMeter::text_of(overlay::Layer const& layer)
{
    Key key{layer.content, layer.corner};
    if (auto const known = m_text.find(key); known != m_text.end())
        return known->second;
    if (m_text.size() >= kMostLayers)
        m_text.clear();
    Occlusion const occlusion = m_painter.occlusion({{{layer.content, overlay::kFullLevel, layer.corner}}});
    std::vector<TextCell> cells;
    for (std::size_t i = 0; i < kGridCells; ++i) {
        if (occlusion[i].colour.red >= kSomeText)
            cells.push_back({i, m_theme.ink});
        if (occlusion[i].colour.green >= kSomeText)
            cells.push_back({i, m_theme.soft_ink});
    }
    return m_text[std::move(key)] = std::move(cells);
}

double ContrastMeter::contrast(overlay::Colour text, overlay::Colour footage, bool tinted) const
{
    auto ground = over(m_theme.card, footage);
    if (tinted)
        ground = over(m_theme.tint(), ground);
    return contrast_ratio(over(text, ground), ground);
}

std::optional<double> ContrastMeter::lowest(overlay::Scene const& scene, Grounds const& footage)
{
    std::optional<double> lowest;
    for (overlay::Layer const& layer : scene.layers) {
        bool const may_be_tinted = std::holds_alternative<overlay::BarRibbon>(layer.content); // the bar that is played
        for (auto const& [cell, text] : text_of(layer))
            for (overlay::Colour const ground : footage[cell]) {
                double here = contrast(text, ground, false);
                if (may_be_tinted)
                    here = std::min(here, contrast(text, ground, true));
                lowest = std::min(lowest.value_or(here), here);
            }
    }
    return lowest;
}

} // namespace tabard::pipeline
