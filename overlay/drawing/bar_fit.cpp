#include "overlay/drawing/bar_fit.h"

#include "overlay/base/characters.h"
#include "overlay/drawing/layout.h"

#include <algorithm>
#include <array>
#include <string_view>

namespace tabard::overlay {
namespace {

constexpr int kGap = 30;            ///< between two names, in hundredths of an em
constexpr double kNarrowest = 0.8;  ///< as chord names are at most
constexpr double kLowestRow = 10.8; ///< in units, of two
constexpr double kNarrowed = 0.9;   ///< letters that much narrower still look like themselves
constexpr double kRaised = 0.78;    ///< of extensions and basses at the sizes of the bars

/// Characters of chord names and how wide they are in bold Inter, in hundredths of its em, rounded up. A test measures
/// them.
struct Letters {
    std::string_view all;
    int width;
};
constexpr std::array kLetters{Letters{"ijl", 28},
                              Letters{"/fIt().,'-1", 50},
                              Letters{"FEcs7aLr", 61},
                              Letters{"2bdeghnopuvxyzk+*#0BT4568J39", 69},
                              Letters{"ACGDHKNOPQRSUVXYZ", 79},
                              Letters{"mMwW@%", 105}};
constexpr int kSign = 50;   ///< an accidental
constexpr int kOther = 100; ///< of another script

int width_of(std::string_view character)
{
    auto const found = std::ranges::find_if(kLetters, [&](Letters const& letters) {
        return character.size() == 1 && letters.all.find(character) != std::string_view::npos;
    });
    if (found != kLetters.end())
        return found->width;
    return character == "\u266F" || character == "\u266D" || character == "\u266E" || character == "\u00B0" ? kSign
                                                                                                            : kOther;
}

int letters_width(std::string_view text)
{
    int width = 0;
    for (std::size_t from = 0; from < text.size();) {
        std::size_t to = from + 1;
        while (to < text.size() && continues_character(text[to]))
            ++to;
        width += width_of(text.substr(from, to - from));
        from = to;
    }
    return width;
}

} // namespace

int estimated_width(ChordLabel const& label)
{
    int width = letters_width(label.base) + static_cast<int>(kRaised * letters_width(label.raised)) + 3;
    if (!label.bass.empty())
        width += 38 + static_cast<int>(kRaised * letters_width(label.bass));
    return width;
}

std::vector<double> name_places(std::vector<RibbonChord> const& chords, int beats, std::vector<double> const& widths,
                                double bar_width, double gap)
{
    std::vector<double> places;
    double free_from = 0;
    int beat = 0;
    for (std::size_t i = 0; i < chords.size(); ++i) {
        double const own = bar_width * beat / std::max(1, beats);
        places.push_back(std::max(own, free_from));
        free_from = places.back() + widths[i] + gap;
        beat += chords[i].beats;
    }
    // What would stick out at the end takes room from the gaps before it.
    double end = bar_width;
    for (std::size_t i = chords.size(); i-- > 0;) {
        places[i] = std::max(0.0, std::min(places[i], end - widths[i]));
        end = places[i] - gap;
    }
    return places;
}

int bar_crowding(std::vector<RibbonChord> const& chords)
{
    int width = 0;
    for (RibbonChord const& chord : chords)
        width += estimated_width(chord.label) + kGap;
    return std::max(0, width - kGap);
}

BarRows arrange_bars(int crowding, double ems, double padding, int rows)
{
    auto const fits = [&](BarRows const& way) {
        return way.rows <= rows && kNarrowed * crowding <= 100 * (ems / way.columns - padding);
    };
    for (BarRows const way : {BarRows{4, 1}, BarRows{2, 2}, BarRows{2, 1}, BarRows{1, 2}})
        if (fits(way))
            return way;
    return {1, 1};
}

namespace {

double ems_of(Layout const& layout) { return (layout.ribbon.width / layout.unit - 2 * kRibbonPad) / kPlayedEm; }

} // namespace

BarRows bars_shown(int crowding, Stage const& stage)
{
    Layout const layout = make_layout(stage);
    double const names = layout.ribbon.height / layout.unit - kTightHead - kRibbonFoot;
    return arrange_bars(crowding, ems_of(layout), 2 * kCellPad / kPlayedEm, names >= 2 * kLowestRow ? 2 : 1);
}

bool bars_fit(int crowding, Stage const& stage)
{
    return kNarrowest * crowding <=
           100 * (ems_of(make_layout(stage)) / bars_shown(crowding, stage).columns - 2 * kCellPad / kPlayedEm);
}

} // namespace tabard::overlay
