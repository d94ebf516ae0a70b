#include "sample_media/make/player.h"

#include "sample_media/make/hands.h"

namespace tabard::lantern {
namespace {

constexpr Colour kHair = 0x3a2622;
constexpr Colour kCap = 0x2c7a78;

void crate(Pen& pen)
{
    pen.oval({630, 716}, 190, 22).fill(0x24233a, 0.7);
    pen.box({508, 604}, 244, 116).fill({508, 0}, {752, 0}, {{0, 0x8f6a45}, {1, 0x5f4433}});
    for (double const y : {604.0, 642.0, 680.0})
        pen.box({508, y}, 244, 33, 3).fill({508, 0}, {752, 0}, {{0, 0xa87d52}, {1, 0x6d4f3a}});
}

void legs(Pen& pen)
{
    Colour const cloth = 0x39426a;
    Colour const shade = 0x2a3152;
    pen.limb({{690, 612}, {790, 628}, {806, 760}}, 78, shade);
    pen.limb({{690, 608}, {788, 624}, {803, 760}}, 70, cloth);
    pen.limb({{570, 612}, {474, 630}, {462, 760}}, 78, shade);
    pen.limb({{570, 608}, {476, 626}, {465, 760}}, 70, cloth);
    pen.box({560, 566}, 140, 72, 26).fill(cloth);
}

void torso(Pen& pen, Pose const& pose)
{
    double const up = -1.5 * pose.breath;
    double const wide = 1.2 * pose.breath;
    std::vector<Point> const jumper{{588, 276 + up},
                                    {534 - wide, 298 + up},
                                    {508 - wide, 350 + up},
                                    {520, 450},
                                    {530, 600},
                                    {626, 618},
                                    {722, 600},
                                    {732, 450},
                                    {742 + wide, 350 + up},
                                    {716 + wide, 298 + up},
                                    {662, 276 + up}};
    pen.curve(jumper).fill({500, 0}, {750, 0}, {{0, 0xdb6a4a}, {0.4, kSleeve}, {1, 0x8f3a2d}});
    for (int i = 0; i < 3; ++i) { // a knitted band across the chest
        double const y = 372.0 + i * 13 + up;
        pen.open_curve({{514, y - 4}, {626, y + 8}, {738, y - 4}})
            .line(i == 1 ? 0xf3d9a4 : 0x8f3a2d, i == 1 ? 6 : 3, 0.85);
    }
}

void neck(Pen& pen, double up)
{
    pen.path({{602, 232 + up}, {652, 232 + up}, {658, 290 + up}, {596, 290 + up}}).fill(kSkinShade);
    Colour const scarf = 0xf0d08a;
    pen.curve({{584, 268 + up}, {626, 288 + up}, {670, 266 + up}, {678, 286 + up}, {628, 312 + up}, {576, 290 + up}})
        .fill(0xc9a35c);
    pen.curve({{586, 264 + up}, {626, 283 + up}, {668, 262 + up}, {675, 280 + up}, {628, 304 + up}, {579, 284 + up}})
        .fill(scarf);
    pen.curve({{600, 290 + up}, {616, 296 + up}, {612, 352 + up}, {588, 348 + up}}).fill(scarf);
    for (int i = 0; i < 4; ++i)
        pen.open_curve({{591.0 + i * 6, 347 + up}, {590.0 + i * 6, 355 + up}}).line(scarf, 2.5);
}

void eye(Pen& pen, Point at, Pose const& pose)
{
    double const open = 1 - pose.blink;
    if (open < 0.35) {
        pen.open_curve({{at.x - 7, at.y}, {at.x, at.y + 3}, {at.x + 7, at.y}}).line(kHair, 2.6);
        return;
    }
    pen.oval(at, 7.5, 6.5 * open).fill(0xfbf6ee);
    Point const iris = at + Point{2.8 * pose.look, 1.8 * pose.look};
    pen.oval(iris, 4, 4.4 * open).fill(0x3b2a20);
    pen.oval(iris + Point{1.3, -1.5}, 1.2, 1.2).fill(0xffffff);
    pen.open_curve({{at.x - 8, at.y - 3 * open}, {at.x, at.y - 7.5 * open}, {at.x + 8, at.y - 3 * open}})
        .line(kHair, 2.4);
}

void face(Pen& pen, Pose const& pose)
{
    double const aside = 5 * pose.look;
    pen.oval({-47, 2}, 9, 14, -8).fill(kSkinShade);
    pen.oval({47, 2}, 9, 14, 8).fill(kSkinShade);
    pen.curve({{0, -62}, {40, -48}, {47, 0}, {36, 42}, {0, 63}, {-36, 42}, {-47, 0}, {-40, -48}}).fill(kSkinShade);
    pen.curve({{0, -62}, {38, -48}, {44, 0}, {33, 40}, {-2, 60}, {-36, 41}, {-46, 0}, {-40, -48}})
        .fill({-46, 0}, {46, 0}, {{0, 0xe8b28a}, {0.6, kSkin}, {1, 0xc88d69}});
    pen.oval({-25 + aside, 18}, 10, 6).fill(0xe07f63, 0.35);
    pen.oval({27 + aside, 18}, 9, 6).fill(0xe07f63, 0.35);
    eye(pen, {-17 + aside, -2}, pose);
    eye(pen, {19 + aside, -2}, pose);
    double const brow = -16 - 2.5 * pose.smile;
    pen.open_curve({{-27 + aside, brow + 3}, {-17 + aside, brow - 1}, {-8 + aside, brow + 2}}).line(kHair, 3.6);
    pen.open_curve({{10 + aside, brow + 2}, {19 + aside, brow - 1}, {29 + aside, brow + 3}}).line(kHair, 3.6);
    pen.open_curve({{2 + aside, -2}, {6 + aside, 14}, {-1 + aside, 17}}).line(kSkinShade, 2.8);
    double const wide = 13 + 3 * pose.smile;
    pen.curve({{-wide + aside, 31},
               {1 + aside, 34 + 2 * pose.smile},
               {wide + 2 + aside, 31},
               {1 + aside, 38 + 9 * pose.smile}})
        .fill(0x7c2f2c);
    pen.curve({{-wide * 0.7 + aside, 33},
               {1 + aside, 35 + 2 * pose.smile},
               {wide * 0.8 + aside, 33},
               {1 + aside, 37 + 3 * pose.smile}})
        .fill(0xfbf6ee);
}

void cap(Pen& pen)
{
    pen.curve({{-48, -2}, {-52, -34}, {-36, -26}, {-42, 6}}).fill(kHair);
    pen.curve({{47, -2}, {51, -34}, {36, -26}, {43, 4}}).fill(kHair);
    pen.curve({{-52, -26}, {-46, -70}, {0, -94}, {46, -70}, {52, -26}, {0, -36}})
        .fill({-50, 0}, {50, 0}, {{0, 0x3d9490}, {0.5, kCap}, {1, 0x1d5857}});
    pen.curve({{-55, -22}, {-53, -44}, {0, -54}, {53, -44}, {55, -22}, {0, -33}})
        .fill({-50, 0}, {50, 0}, {{0, 0x4aa8a2}, {1, 0x236866}});
    for (int i = -4; i <= 4; ++i)
        pen.open_curve({{i * 11.5, -31.0 + i * i * 0.4}, {i * 11.2, -49.0 + i * i * 0.4}}).line(0x1d5857, 1.6, 0.6);
    pen.oval({0, -96}, 13, 12).fill(0xf0d08a);
}

void head(Pen& pen, Pose const& pose)
{
    double const up = -2.2 * pose.breath + 3.0 * pose.nod + 2 * pose.look;
    pen.turn({627, 186 + up}, 3.5 * pose.look - 1.5 + 1.2 * pose.nod);
    face(pen, pose);
    cap(pen);
    pen.back();
}

} // namespace

void draw_player(Pen& pen, Pose const& pose)
{
    crate(pen);
    legs(pen);
    draw_fretting_arm(pen, pose);
    torso(pen, pose);
    neck(pen, -1.5 * pose.breath);
    head(pen, pose);
    pen.turn(guitar_place(pose), kGuitarTurn);
    draw_guitar(pen, pose);
    pen.back();
    draw_fretting_fingers(pen, pose);
    draw_playing_arm(pen, pose);
}

} // namespace tabard::lantern
