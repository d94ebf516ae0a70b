#include "pipeline/render/theme_choice.h"

#include "overlay/drawing/layout.h"

#include <algorithm>
#include <cmath>

namespace tabard::pipeline {
namespace {

/// Whether a section has spans of a kind.
template <class Span>
bool shows(std::vector<Span> const& spans, int section)
{
    return std::ranges::find(spans, section, &Span::section) != spans.end();
}

std::vector<overlay::Box> regions(Timeline const& timeline, int section, overlay::Layout const& layout,
                                  overlay::Corner corner)
{
    std::vector<overlay::Box> boxes;
    if (shows(timeline.chords(), section))
        boxes.insert(boxes.end(), {layout.chord, layout.next});
    auto const is_played = [section](ChordSpan const& chord) { return chord.section == section && chord.played; };
    if (std::ranges::any_of(timeline.chords(), is_played))
        boxes.push_back(layout.ribbon);
    if (shows(timeline.strums(), section) && overlay::shown_in(overlay::StrumLane{}, corner))
        boxes.push_back(layout.strum);
    if (shows(timeline.texts(), section))
        boxes.push_back(layout.text);
    return boxes;
}

struct LogMean {
    double sum = 0;
    int cells = 0;
};

void add_cells(LogMean& mean, PictureLight const& picture, overlay::Box const& box, overlay::Colour card)
{
    for (int i = 0; i < kLightCells; ++i) {
        double const x = (i % kLightSide + 0.5) / kLightSide;
        double const y = (i / kLightSide + 0.5) / kLightSide;
        if (x < box.x || x >= box.right() || y < box.y || y >= box.bottom())
            continue;
        mean.sum += std::log(overlay::contrast_ratio(card, picture.cells[static_cast<std::size_t>(i)]));
        ++mean.cells;
    }
}

} // namespace

std::vector<CardArea> card_areas(Timeline const& timeline, overlay::Stage stage, SizePx displayed)
{
    stage.display_width = stage.raster_width = displayed.width;
    stage.display_height = stage.raster_height = displayed.height;
    std::vector<CardArea> areas;
    for (SectionSpan const& section : timeline.sections()) {
        stage.corner = section.corner;
        overlay::Layout const layout = overlay::make_layout(stage);
        for (overlay::Box const& box : regions(timeline, section.section, layout, section.corner))
            areas.push_back({section.shown_from,
                             section.out,
                             {box.x / displayed.width, box.y / displayed.height, box.width / displayed.width,
                              box.height / displayed.height}});
    }
    return areas;
}

double contrast_under(std::vector<CardArea> const& areas, FootageLight const& footage, overlay::Colour card)
{
    LogMean while_there, throughout;
    for (PictureLight const& picture : footage.pictures) {
        for (CardArea const& area : areas) {
            add_cells(throughout, picture, area.box, card);
            if (area.in <= picture.time && picture.time < area.out)
                add_cells(while_there, picture, area.box, card);
        }
    }
    LogMean const& mean = while_there.cells > 0 ? while_there : throughout;
    return mean.cells > 0 ? std::exp(mean.sum / mean.cells) : 21;
}

bool stands_out_better(overlay::Colour other, overlay::Colour usual, std::vector<CardArea> const& areas,
                       FootageLight const& footage)
{
    double const now = contrast_under(areas, footage, usual);
    return now < kLeastCardContrast && contrast_under(areas, footage, other) > now;
}

} // namespace tabard::pipeline
