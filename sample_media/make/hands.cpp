#include "sample_media/make/hands.h"

#include <algorithm>
#include <cmath>

namespace tabard::lantern {
namespace {

/// A point of the guitar in the picture.
Point on_guitar(Pose const& pose, Point local)
{
    double const turn = kGuitarTurn * M_PI / 180;
    return guitar_place(pose) + Point{local.x * std::cos(turn) - local.y * std::sin(turn),
                                      local.x * std::sin(turn) + local.y * std::cos(turn)};
}

double palm_x(Pose const& pose) { return fret_x(kCapo + pose.hand_fret); }

void arm(Pen& pen, Point shoulder, Point bend, Point wrist)
{
    Point const cuff = between(bend, wrist, 0.72);
    pen.limb({between(shoulder, bend, 0.3), bend}, 61, kSleeveShade); // no line across the shoulder
    pen.path({shoulder, bend}).line(kSleeve, 56);
    pen.path({bend, cuff}).line(kSleeveShade, 50);
    pen.path({bend, cuff}).line(kSleeve, 44);
    pen.path({cuff, wrist}).line(kSkinShade, 33);
    pen.path({cuff, wrist}).line(kSkin, 29);
    pen.path({between(bend, wrist, 0.66), cuff}).line(kSleeveShade, 47);
}

/// A finger from its knuckle over its bent joint to its tip.
void finger(Pen& pen, std::vector<Point> const& joints, double width)
{
    pen.open_curve(joints).line(kSkinShade, width + 2.4);
    pen.open_curve(joints).line(kSkin, width);
}

void greeting_hand(Pen& pen, Point wrist, double turn)
{
    pen.turn(wrist, 8 + 16 * turn);
    for (auto const& [x, y] : {std::pair{-19.0, -70.0}, {-7.0, -80.0}, {6.0, -79.0}, {18.0, -68.0}})
        finger(pen, {{x * 0.7, -34}, {x, y}}, 12);
    finger(pen, {{14, -16}, {30, -30}, {34, -42}}, 12);
    pen.oval({0, -24}, 22, 25).fill(kSkinShade);
    pen.oval({0, -24}, 20.5, 23.5).fill(kSkin);
    pen.open_curve({{-12, -22}, {0, -17}, {12, -23}}).line(kSkinShade, 1.6, 0.7);
    pen.back();
}

/// Seen from the back, the plectrum's grip: fingers curled, thumb and index in front.
void strumming_hand(Pen& pen, Point wrist, double degrees, Pose const& pose)
{
    pen.turn(wrist, degrees);
    double const open = pose.picking ? 1 : pose.flat;
    double const let_go = 6 * pose.pick;
    for (int i = 2; i >= 0; --i) { // little finger first, so that each lies over the next
        double const y = 8 - i * 7.0;
        finger(pen, {{26, y * 0.5}, {50 + open * 6, y + 6}, {46 + open * 14 - let_go, y + 20 + open * 3}}, 11);
    }
    pen.curve({{-10, -14}, {18, -19}, {40, -13}, {45, 4}, {34, 17}, {8, 17}, {-10, 13}}).fill(kSkinShade);
    pen.curve({{-12, -12}, {18, -17}, {38, -11}, {43, 4}, {33, 15}, {8, 15}, {-12, 11}}).fill(kSkin);
    finger(pen, {{32, -8}, {54, -4}, {61 - let_go, 12 + open * 5}}, 12);
    if (open < 0.5)
        pen.path({{56, 8}, {71, 13}, {59, 22}}).fill(0xf4ead6);
    finger(pen, {{14, -4}, {36, 6}, {54 - let_go * 0.5, 10}}, 13);
    pen.back();
}

} // namespace

Point elbow(Point shoulder, Point wrist, double upper, double lower, double side)
{
    Point const line = wrist - shoulder;
    double const length = std::clamp(std::hypot(line.x, line.y), std::abs(upper - lower) + 1, upper + lower - 0.5);
    double const along = (upper * upper - lower * lower + length * length) / (2 * length);
    double const out = std::sqrt(std::max(0.0, upper * upper - along * along));
    Point const unit = line * (1 / std::max(1.0, std::hypot(line.x, line.y)));
    return shoulder + unit * along + Point{-unit.y, unit.x} * (out * side);
}

void draw_fretting_arm(Pen& pen, Pose const& pose)
{
    Point const shoulder{728, 330 - 1.5 * pose.breath};
    double const x = palm_x(pose);
    Point const wrist = on_guitar(pose, {x - 6, 84});
    arm(pen, shoulder, elbow(shoulder, wrist, 205, 118, -1), wrist);
    pen.turn(guitar_place(pose), kGuitarTurn);
    finger(pen, {{x + 4, 30}, {x + 12, 0}, {x + 10, -25}}, 15); // the thumb, behind the neck
    pen.curve({{x - 22, 84}, {x - 31, 54}, {x - 27, 26}, {x + 27, 22}, {x + 31, 46}, {x + 14, 84}}).fill(kSkinShade);
    pen.curve({{x - 20, 84}, {x - 29, 54}, {x - 25, 27}, {x + 25, 24}, {x + 28, 46}, {x + 12, 84}}).fill(kSkin);
    pen.back();
}

void draw_fretting_fingers(Pen& pen, Pose const& pose)
{
    pen.turn(guitar_place(pose), kGuitarTurn);
    double const palm = palm_x(pose);
    for (int i = 3; i >= 0; --i) {
        auto const& f = pose.fingers[static_cast<std::size_t>(i)];
        double const tip_x = fret_x(kCapo + f.fret) + 6; // just behind the wire
        double const tip_y = string_y(f.string, tip_x);
        Point const knuckle{palm + 21 - 14.0 * i, 42};
        Point const hover{between(knuckle.x, tip_x, 0.75), 19};
        Point const tip = between(hover, {tip_x, tip_y}, f.down);
        Point const joint{between(knuckle.x, tip.x, 0.55) + 2, tip.y * 0.35 + 26};
        finger(pen, {knuckle, joint, tip}, i == 3 ? 10 : 11.5);
        if (f.across > 0.5) // a barre lies flat over its strings
            finger(pen, {tip, {tip_x, string_y(f.string + f.across, tip_x)}}, 11);
        pen.oval({tip.x, tip.y - 1}, 3, 2.4).fill(0xf3cdb2, 0.9);
    }
    pen.back();
}

void draw_playing_arm(Pen& pen, Pose const& pose)
{
    Point const shoulder{520, 330 - 1.5 * pose.breath};
    double const height = pose.picking ? -4 + 2.5 * pose.pick : 34 * pose.strum;
    Point const playing = on_guitar(pose, {-58 - 8 * pose.lift, -16 + height - 6 * pose.lift});
    Point const wrist = between(playing, {482, 322}, pose.wave);
    Point const bend = between({384, 404 - pose.breath}, {404, 410}, pose.wave);
    ; // rests on the guitar
    arm(pen, shoulder, bend, wrist);
    if (pose.wave > 0.45) {
        greeting_hand(pen, wrist, pose.wave_turn);
        return;
    }
    Point const line = wrist - bend;
    double const degrees = std::atan2(line.y, line.x) * 180 / M_PI;
    strumming_hand(pen, wrist, degrees * 0.5 + 2 + 10 * (pose.picking ? 0 : pose.strum), pose);
}

} // namespace tabard::lantern
