#include "sample_media/make/harbour.h"

#include "sample_media/make/film.h"

#include <array>
#include <cmath>

namespace tabard::lantern {
namespace {

constexpr double kHorizon = 392;
constexpr double kQuay = 560;

/// A share 0 .. 1 that looks random and is always the same for `n`.
double scatter(std::uint32_t n)
{
    n = (n ^ 61U) ^ (n >> 16U);
    n *= 9U;
    n ^= n >> 4U;
    n *= 0x27d4eb2dU;
    n ^= n >> 15U;
    return n / 4294967296.0;
}

void sky(Pen& pen)
{
    pen.box({0, 0}, kWidth, kHorizon + 1)
        .fill({0, 0}, {0, kHorizon},
              {{0, 0x1b2a4e}, {0.42, 0x45456f}, {0.72, 0xa8607a}, {0.9, 0xe89269}, {1, 0xf7bd7c}});
    for (std::uint32_t i = 0; i < 46; ++i) {
        double const y = scatter(i * 3 + 1) * 190;
        pen.oval({scatter(i * 3) * kWidth, y}, 0.8 + scatter(i * 3 + 2), 0.8 + scatter(i * 3 + 2))
            .fill(0xfdf3d8, 0.75 - y / 320);
    }
    pen.glow({1010, 96}, 90, 0xfdf3d8, 0.25);
    pen.curve({{1016, 73}, {992, 80}, {986, 100}, {998, 118}, {1022, 120}, {1007, 110}, {1001, 97}, {1005, 83}})
        .fill(0xfdf0cf);
    Colour const cloud = 0xd98a86;
    for (auto const& [x, y, w] :
         {std::array{150.0, 262.0, 130.0}, {330.0, 300.0, 90.0}, {1090.0, 250.0, 120.0}, {940.0, 312.0, 100.0}})
        pen.curve({{x - w, y}, {x - w * 0.3, y - 9}, {x + w * 0.4, y - 6}, {x + w, y + 2}, {x, y + 6}})
            .fill(cloud, 0.45);
}

void town(Pen& pen)
{
    pen.curve({{-40, kHorizon + 8}, {90, 352}, {250, 330}, {430, 362}, {620, kHorizon + 8}}).fill(0x6d4a70);
    pen.curve({{760, kHorizon + 8}, {920, 366}, {1090, 322}, {1330, 352}, {1330, kHorizon + 8}}).fill(0x6d4a70);
    std::uint32_t n = 100;
    for (double x = 20; x < kWidth; n += 7) {
        double const width = 26 + 26 * scatter(n);
        double const height = 18 + 34 * scatter(n + 1);
        bool const gap = x > 470 && x < 800;
        if (!gap) {
            double const top = kHorizon - height;
            pen.path({{x, kHorizon}, {x, top}, {x + width / 2, top - 12}, {x + width, top}, {x + width, kHorizon}})
                .fill(0x3d3357);
            for (std::uint32_t i = 0; i < 3; ++i)
                if (scatter(n + 2 + i) > 0.4)
                    pen.box({x + 5 + i * width * 0.3, top + 8 + 6 * scatter(n + 5)}, 4, 6).fill(0xffd98a, 0.9);
        }
        x += width + 3;
    }
    pen.path({{1160, kHorizon}, {1166, 300}, {1184, 300}, {1190, kHorizon}}).fill(0xe7d6c8); // lighthouse
    pen.path({{1163, 345}, {1187, 345}, {1188, 365}, {1162, 365}}).fill(0xb3544a);
    pen.box({1164, 286}, 22, 14, 2).fill(0xffe2a0);
    pen.path({{1162, 287}, {1175, 274}, {1188, 287}}).fill(0x3d3357);
}

void water(Pen& pen)
{
    pen.box({0, kHorizon}, kWidth, kQuay - kHorizon + 20)
        .fill({0, kHorizon}, {0, kQuay}, {{0, 0xdd8f70}, {0.14, 0xa0657a}, {0.45, 0x4f4d78}, {1, 0x24335c}});
}

void quay(Pen& pen)
{
    pen.box({0, kQuay}, kWidth, kHeight - kQuay).fill({0, kQuay}, {0, kHeight}, {{0, 0x6a6478}, {1, 0x3a3950}});
    pen.box({0, kQuay}, kWidth, 9).fill(0x8b8394);
    pen.box({0, kQuay + 9}, kWidth, 3).fill(0x4a4760);
    Point const far{640, 300};
    for (int i = -12; i <= 12; ++i) {
        Point const near{640.0 + i * 170, 760};
        Point const start = between(near, far, (760 - kQuay - 12) / 460);
        pen.open_curve({start, near}).line(0x33324a, 2, 0.7);
    }
    for (double const y : {600.0, 652.0})
        pen.open_curve({{0, y}, {kWidth, y}}).line(0x33324a, 2, 0.7);
    // A bollard with its rope, right of the player.
    pen.limb({{1098, 584}, {1150, 600}, {1215, 590}, {1290, 612}}, 7, 0xb89a6b);
    pen.oval({1080, 622}, 40, 9).fill(0x2a2940, 0.6);
    pen.path({{1058, 620}, {1062, 570}, {1098, 570}, {1102, 620}})
        .fill({1058, 0}, {1102, 0}, {{0, 0x4d4f68}, {1, 0x24253a}});
    pen.box({1052, 556}, 56, 18, 9).fill(0x565872);
    for (int i = 0; i < 3; ++i)
        pen.limb({{1060, 584.0 + i * 8}, {1080, 589.0 + i * 8}, {1100, 584.0 + i * 8}}, 7,
                 i % 2 == 0 ? 0xcbae7e : 0xb89a6b);
}

void boat(Pen& pen, int ms)
{
    double const roll = 1.2 * std::sin(ms / 4300.0 * 2 * M_PI);
    double const rise = 2.0 * std::sin(ms / 3100.0 * 2 * M_PI);
    pen.turn({205, 452 + rise}, roll);
    pen.open_curve({{6, 0}, {2, -150}}).line(0x3a2f45, 4);
    pen.open_curve({{3, -120}, {48, -30}}).line(0x3a2f45, 2);
    pen.curve({{-2, -140}, {-44, -60}, {-58, -26}, {-2, -30}}).fill(0xd8b08c, 0.9);
    pen.path({{-78, -18}, {84, -22}, {62, 14}, {-60, 14}}).fill({0, -20}, {0, 14}, {{0, 0x96474b}, {1, 0x54304a}});
    pen.path({{-78, -18}, {84, -22}, {81, -15}, {-75, -11}}).fill(0xe9d9c4);
    pen.back();
}

/// Light on the water: short strokes that swell and fade slowly.
void glints(Pen& pen, int ms)
{
    for (std::uint32_t i = 0; i < 90; ++i) {
        double const depth = scatter(i * 5);
        double const y = kHorizon + 8 + depth * (kQuay - kHorizon - 18);
        double const x = scatter(i * 5 + 1) * kWidth + 6 * std::sin(ms / 2600.0 + static_cast<double>(i));
        double const swell = 0.5 + 0.5 * std::sin(ms / (1500.0 + 900 * scatter(i * 5 + 2)) * 2 * M_PI + i * 2.4);
        double const length = (14 + 40 * depth) * (0.5 + 0.5 * swell);
        pen.open_curve({{x - length, y}, {x + length, y}})
            .line(depth < 0.3 ? 0xf3b98c : 0x8f86ad, 1.2 + 1.6 * depth, 0.15 + 0.4 * swell);
    }
}

void lantern(Pen& pen, int ms)
{
    double const warm = 0.92 + 0.05 * std::sin(ms / 1900.0 * 2 * M_PI) + 0.03 * std::sin(ms / 730.0 * 2 * M_PI);
    Point const hook{432, 148};
    pen.oval({396, 640}, 34, 8).fill(0x2a2940, 0.6);
    pen.box({389, 116}, 13, 524, 4).fill({389, 0}, {402, 0}, {{0, 0x4a3346}, {1, 0x271d31}});
    pen.box({382, 626}, 27, 14, 4).fill(0x271d31);
    pen.limb({{395, 172}, {408, 146}, {hook.x, hook.y - 14}}, 5, 0x2f2337);
    pen.limb({{392, 132}, {hook.x + 8, 132}}, 7, 0x2f2337);
    pen.turn(hook, 1.6 * std::sin(ms / 3300.0 * 2 * M_PI));
    pen.glow({0, 42}, 230, 0xffb454, 0.55 * warm);
    pen.open_curve({{0, -14}, {0, 8}}).line(0x2f2337, 3);
    pen.path({{-18, 20}, {0, 4}, {18, 20}}).fill(0x2f2337);
    pen.path({{-17, 22}, {17, 22}, {21, 66}, {-21, 66}}).fill({0, 22}, {0, 66}, {{0, 0xffcf7a}, {1, 0xff9d3c}});
    pen.glow({0, 46}, 26, 0xfffbe0, warm);
    pen.curve({{0, 30}, {7, 48}, {0, 58}, {-7, 48}}).fill(0xfff3c4);
    for (double const x : {-1.0, 0.0, 1.0})
        pen.open_curve({{x * 17, 22}, {x * 21, 66}}).line(0x2f2337, x == 0 ? 1.5 : 3);
    pen.box({-24, 64}, 48, 9, 3).fill(0x2f2337);
    pen.back();
}

} // namespace

Harbour::Harbour() : m_still(kWidth, kHeight)
{
    sky(m_still);
    town(m_still);
    water(m_still);
}

void Harbour::draw(Pen& pen, int ms) const
{
    pen.paint(m_still);
    glints(pen, ms);
    boat(pen, ms);
    quay(pen);
    pen.glow({410, 650}, 330, 0xffb454, 0.28); // the lantern's light on the stones
    lantern(pen, ms);
}

} // namespace tabard::lantern
