#include "sample_media/make/guitar.h"

#include <cmath>

namespace tabard::lantern {
namespace {

std::vector<Point> body(double grow)
{
    std::vector<Point> points;
    for (auto const& [x, half] : {std::pair{84.0, 30.0},
                                  {72.0, 66.0},
                                  {38.0, 82.0},
                                  {2.0, 74.0},
                                  {-22.0, 66.0},
                                  {-58.0, 74.0},
                                  {-108.0, 104.0},
                                  {-160.0, 98.0},
                                  {-196.0, 56.0}})
        points.push_back({x + (x > 0 ? grow * 0.5 : -grow), half + grow});
    points.push_back({-204 - grow, 0});
    for (auto i = points.size() - 1; i-- > 0;)
        points.push_back({points[i].x, -points[i].y});
    return points;
}

double neck_half(double x) { return between(20.0, 16.5, (x - 60) / (kNut - 60)); }

void draw_body(Pen& pen)
{
    pen.curve(body(9)).fill(0x5e3319);
    pen.curve(body(5)).fill(0x8a4f26);
    pen.curve(body(0)).fill({-200, -80}, {80, 90}, {{0, 0xd9943f}, {0.5, 0xf0b865}, {1, 0xd98f3e}});
    pen.curve(body(-6)).line(0xfbe3b0, 1.5, 0.6);
    for (int i = 0; i < 7; ++i) // grain of the top
        pen.open_curve({{-188, -54.0 + i * 18}, {-60, -50.0 + i * 17}, {60, -46.0 + i * 15}}).line(0xb8752c, 1, 0.25);
    pen.curve({{26, 22}, {30, 46}, {-2, 74}, {-44, 66}, {-58, 44}, {-30, 36}}).fill(0x7b3d24, 0.9); // scratch plate
    pen.oval({0, 0}, 40, 40).fill(0x7b4a22);
    pen.oval({0, 0}, 37, 37).fill(0xf3d9a4);
    pen.oval({0, 0}, 34, 34).fill(0x7b4a22);
    pen.oval({0, 0}, 31, 31).fill(0x24150f);
    pen.curve({{kBridge - 10, -46},
               {kBridge + 10, -40},
               {kBridge + 12, 0},
               {kBridge + 10, 40},
               {kBridge - 10, 46},
               {kBridge - 14, 0}})
        .fill(0x4a2716);
    pen.box({kBridge - 1, -25}, 4, 50, 2).fill(0xf4ead6);
}

void draw_head(Pen& pen)
{
    for (int i = 0; i < 3; ++i) {
        for (double const side : {-1.0, 1.0}) {
            double const x = kNut + 34 + i * 30;
            pen.box({x - 2, side > 0 ? 20.0 : -32.0}, 4, 12).fill(0xb9b2a6);
            pen.oval({x, side * 34}, 9, 5.5).fill(0xe9e2d2);
        }
    }
    pen.path({{kNut - 2, -17},
              {kNut + 14, -24},
              {kNut + 112, -27},
              {kNut + 104, 0},
              {kNut + 112, 27},
              {kNut + 14, 24},
              {kNut - 2, 17}})
        .fill({kNut, -25}, {kNut, 25}, {{0, 0x8a5a33}, {1, 0x5b371d}});
    for (int i = 0; i < 3; ++i)
        for (double const side : {-1.0, 1.0})
            pen.oval({kNut + 34 + i * 30, side * 15}, 4, 4).fill(0xd8d0c0);
}

void draw_neck(Pen& pen)
{
    constexpr double kEnd = 40; // the board ends over the body
    pen.path({{kEnd, -21}, {kNut, -17.5}, {kNut, 20}, {kEnd, 25}}).fill(0x6b4226);
    pen.path({{kEnd, -20.5}, {kNut, -16.5}, {kNut, 16.5}, {kEnd, 20.5}}).fill(0x35211a);
    for (int fret = 1; fret <= 17; ++fret) {
        double const x = fret_x(fret);
        pen.open_curve({{x, -neck_half(x)}, {x, neck_half(x)}}).line(0xb8ae9c, 1.6);
    }
    for (int const fret : {3, 5, 7, 9, 15})
        pen.oval({(fret_x(fret) + fret_x(fret - 1)) / 2, 0}, 2.6, 2.6).fill(0xe9e2d2);
    for (double const y : {-7.0, 7.0})
        pen.oval({(fret_x(12) + fret_x(11)) / 2, y}, 2.4, 2.4).fill(0xe9e2d2);
    pen.box({kNut - 2, -17}, 5, 34, 2).fill(0xf4ead6);
}

void draw_strings(Pen& pen, Pose const& pose)
{
    for (int string = 0; string < 6; ++string) {
        double const swing = 2.2 * pose.ringing[static_cast<std::size_t>(string)];
        double const width = 1.9 - 0.2 * string;
        Point const bridge{kBridge + 1, string_y(string, kBridge)};
        Point const capo{fret_x(kCapo), string_y(string, fret_x(kCapo))};
        Point const nut{kNut, string_y(string, kNut)};
        Colour const metal = string < 3 ? 0xd9bd84 : 0xe6e2da;
        pen.path({nut, capo}).line(metal, width * 0.8);
        if (swing > 0.25) {
            Point const middle = between(bridge, capo, 0.5);
            pen.curve({bridge, {middle.x, middle.y - swing}, capo, {middle.x, middle.y + swing}}).fill(metal, 0.4);
        }
        pen.path({bridge, capo}).line(metal, width);
        double const peg = kNut + 34 + (string < 3 ? 2 - string : string - 3) * 30;
        pen.path({nut, {peg, string < 3 ? -15.0 : 15.0}}).line(metal, width * 0.7);
    }
}

void draw_capo(Pen& pen)
{
    double const x = fret_x(kCapo) + 5;
    pen.box({x - 5, -25}, 11, 52, 5).fill({x - 5, 0}, {x + 6, 0}, {{0, 0xf2f4f6}, {0.5, 0xaab2bd}, {1, 0x6d7682}});
    pen.box({x - 3.5, -18}, 8, 36, 3).fill(0x2e333b);
    pen.limb({{x + 1, -24}, {x + 9, -36}, {x + 22, -40}}, 6, 0xaab2bd);
}

} // namespace

Point guitar_place(Pose const& pose) { return {562, 482 - 0.9 * pose.breath}; }

double fret_x(double fret) { return kBridge + (kNut - kBridge) * std::exp2(-fret / 12); }

double string_y(double string, double x)
{
    double const half = between(19.0, 13.0, (x - kBridge) / (kNut - kBridge));
    return -half + 2 * half * string / 5;
}

void draw_guitar(Pen& pen, Pose const& pose)
{
    draw_body(pen);
    draw_head(pen);
    draw_neck(pen);
    draw_strings(pen, pose);
    draw_capo(pen);
}

} // namespace tabard::lantern
