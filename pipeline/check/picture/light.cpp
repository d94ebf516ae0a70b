#include "pipeline/check/picture/light.h"

#include <algorithm>
#include <cmath>

namespace tabard::pipeline {
namespace {

constexpr int kSteps = 1024;

std::array<float, kSteps + 1> linear_table()
{
    std::array<float, kSteps + 1> table{};
    for (int i = 0; i <= kSteps; ++i) {
        double const coded = static_cast<double>(i) / kSteps; // IEC 61966-2-1, as WCAG 2.x gives it
        table[static_cast<std::size_t>(i)] =
            static_cast<float>(coded <= 0.04045 ? coded / 12.92 : std::pow((coded + 0.055) / 1.055, 2.4));
    }
    return table;
}

/// SMPTE ST 2084's curve, with graphics white (203 cd/m2) as 1, coded again as sRGB.
float from_pq(float coded)
{
    double const p = std::pow(std::clamp(static_cast<double>(coded), 0.0, 1.0), 1 / 78.84375);
    double const light = std::pow(std::max(0.0, p - 0.8359375) / (18.8515625 - 18.6875 * p), 1 / 0.1593017578125);
    double const white = std::min(1.0, light * 10'000 / 203);
    return static_cast<float>(white <= 0.0031308 ? white * 12.92 : 1.055 * std::pow(white, 1 / 2.4) - 0.055);
}

struct Weights {
    float red;
    float blue;
};

Weights weights(Matrix matrix)
{
    switch (matrix) {
    case Matrix::bt601:
        return {0.299F, 0.114F};
    case Matrix::bt709:
        return {0.2126F, 0.0722F};
    case Matrix::bt2020:
        return {0.2627F, 0.0593F};
    }
    return {0.2126F, 0.0722F};
}

} // namespace

float linear(float coded)
{
    static std::array<float, kSteps + 1> const table = linear_table();
    return table[static_cast<std::size_t>(std::clamp(coded, 0.0F, 1.0F) * kSteps + 0.5F)];
}

float luminance(Rgb coded)
{
    return 0.2126F * linear(coded.red) + 0.7152F * linear(coded.green) + 0.0722F * linear(coded.blue);
}

Rgb displayed(Cell const& cell, ColourTags const& colour)
{
    auto const [kr, kb] = weights(colour.matrix);
    bool const full = colour.range == Range::full;
    float const y = full ? cell.luma / 255 : (cell.luma - 16) / 219;
    float const blue_difference = (cell.blue - 128) / (full ? 255.0F : 224.0F);
    float const red_difference = (cell.red - 128) / (full ? 255.0F : 224.0F);
    float const red = y + 2 * (1 - kr) * red_difference;
    float const blue = y + 2 * (1 - kb) * blue_difference;
    float const green = (y - kr * red - kb * blue) / (1 - kr - kb);
    auto const shown = [&](float part) {
        return colour.transfer == Transfer::pq ? from_pq(part) : std::clamp(part, 0.0F, 1.0F);
    };
    return {shown(red), shown(green), shown(blue)};
}

RgbGrid displayed(Grid const& grid, ColourTags const& colour)
{
    RgbGrid result;
    std::transform(grid.begin(), grid.end(), result.begin(), [&](Cell const& cell) { return displayed(cell, colour); });
    return result;
}

} // namespace tabard::pipeline
