#include "sample_media/make/motion.h"

#include "sample_media/make/pen.h"

#include <algorithm>
#include <cmath>

namespace tabard::lantern {
namespace {

using Kind = Stroke::Kind;

double ease(double share)
{
    share = std::clamp(share, 0.0, 1.0);
    return share * share * (3 - 2 * share);
}

struct Hand {
    std::array<Finger, 4> fingers;
    double fret = 2;
};

/// Where the fingers of a grip go. A finger without a string waits over the one where it is shortest to go.
Hand hand_on(Grip const& grip)
{
    Hand hand;
    double sum = 0;
    int pressed = 0;
    for (int finger = 1; finger <= 4; ++finger) {
        auto& f = hand.fingers[static_cast<std::size_t>(finger - 1)];
        f = {0.6 + 0.75 * finger, 3.5, 0, 0};
        auto const sign = static_cast<char>('0' + finger);
        auto const first = grip.fingers.find(sign);
        if (first == std::string_view::npos)
            continue;
        auto const last = grip.fingers.rfind(sign);
        f = {static_cast<double>(grip.frets[first] - '0'), static_cast<double>(first), 1,
             static_cast<double>(last - first)};
        sum += f.fret - finger;
        ++pressed;
    }
    double const shift = pressed > 0 ? sum / pressed : 0;
    hand.fret = 2.4 + shift * 0.8;
    for (std::size_t i = 0; i < 4; ++i)
        if (hand.fingers[i].down == 0)
            hand.fingers[i].fret += shift * 0.8;
    return hand;
}

void fret_hand(Score const& score, int ms, Pose& pose)
{
    constexpr double kChange = 240; // milliseconds that a change takes; it ends as the chord begins
    auto const hold = std::find_if(score.holds.begin(), score.holds.end(), [&](Hold const& h) { return ms < h.to; });
    Hand const now = hand_on(*(hold == score.holds.end() ? score.holds.back() : *hold).grip);
    Hand next = now;
    double share = 0;
    if (hold != score.holds.end() && hold + 1 != score.holds.end()) {
        next = hand_on(*(hold + 1)->grip);
        share = ease((ms - (hold->to - kChange)) / kChange);
    }
    pose.hand_fret = between(now.fret, next.fret, share);
    for (std::size_t i = 0; i < 4; ++i) {
        Finger const& a = now.fingers[i];
        Finger const& b = next.fingers[i];
        bool const stays = a.down == 1 && b.down == 1 && a.fret == b.fret && a.string == b.string;
        double const raised = stays ? 0 : 4 * share * (1 - share); // fingers leave the board on the way
        pose.fingers[i] = {between(a.fret, b.fret, share), between(a.string, b.string, share),
                           between(a.down, b.down, share) * (1 - raised), between(a.across, b.across, share)};
    }
}

double side_of(Kind kind) { return kind == Kind::up || kind == Kind::pass_up ? -1.0 : 1.0; }

/// Half of the time that a stroke takes to cross the strings, its room being what its neighbours leave.
double reach(Score const& score, std::size_t i)
{
    double room = 300;
    if (i > 0)
        room = std::min(room, 0.5 * (score.strokes[i].at - score.strokes[i - 1].at));
    if (i + 1 < score.strokes.size())
        room = std::min(room, 0.5 * (score.strokes[i + 1].at - score.strokes[i].at));
    return room;
}

/// When the hand is in the middle of the strings: a slow stroke takes its time.
double middle(Stroke const& stroke) { return stroke.at + 2.5 * stroke.spread; }

void strum_hand(Score const& score, int ms, Pose& pose)
{
    auto const& strokes = score.strokes;
    auto const after = std::find_if(strokes.begin(), strokes.end(), [&](Stroke const& s) { return middle(s) > ms; });
    auto const index = static_cast<std::size_t>(after - strokes.begin());
    auto const height = [&](std::size_t i, double share) { // share -1 .. 1 through the stroke
        Stroke const& s = strokes[i];
        double const size = s.kind == Kind::tap ? 0.45 : s.kind == Kind::pluck ? 0.0 : s.accent ? 1.2 : 1.0;
        return side_of(s.kind) * size * std::sin(std::clamp(share, -1.0, 1.0) * M_PI / 2);
    };
    auto const passing = [](Stroke const& s) { return s.kind == Kind::pass_down || s.kind == Kind::pass_up; };
    double const before_share = index > 0 ? (ms - middle(strokes[index - 1])) / reach(score, index - 1) : 1;
    double const after_share = index < strokes.size() ? (ms - middle(*after)) / reach(score, index) : -1;
    double const from = index > 0 ? height(index - 1, 1) : -0.7;
    double const to = index < strokes.size() ? height(index, -1) : -0.7;
    if (index > 0 && before_share < 1) {
        pose.strum = height(index - 1, before_share);
    } else if (index < strokes.size() && after_share > -1) {
        pose.strum = height(index, after_share);
    } else {
        double const begin = index > 0 ? middle(strokes[index - 1]) + reach(score, index - 1) : -1000;
        double const end = index < strokes.size() ? middle(*after) - reach(score, index) : begin + 1000;
        double const share = std::min(1.0, (ms - begin) / std::clamp(end - begin, 1.0, 700.0));
        pose.strum = between(from, to, ease(share));
    }
    for (std::size_t i = index == 0 ? 0 : index - 1; i < std::min(index + 1, strokes.size()); ++i) {
        double const near = 1 - std::min(1.0, std::abs(ms - middle(strokes[i])) / reach(score, i));
        if (passing(strokes[i]))
            pose.lift = std::max(pose.lift, ease(near * 2));
        if (strokes[i].kind == Kind::tap || strokes[i].kind == Kind::knock)
            pose.flat = std::max(pose.flat, ease(near * 1.6));
        if (strokes[i].kind == Kind::pluck) {
            pose.picking = true;
            pose.pick = std::max(pose.pick, ease(near));
        }
    }
}

void strings(Score const& score, int ms, Pose& pose)
{
    for (auto const& s : score.strokes) {
        if (s.at > ms || s.at < ms - 3000)
            continue;
        for (int string = 0; string < 6; ++string) {
            auto& ringing = pose.ringing[static_cast<std::size_t>(string)];
            bool const sounds = sounding_note(*s.grip, string) >= 0;
            if (s.kind == Kind::tap)
                ringing = 0;
            else if (sounds && (s.kind == Kind::down || (s.kind == Kind::up && string >= 2) ||
                                (s.kind == Kind::pluck && string == 6 - s.string)))
                ringing = std::exp(-(ms - s.at) / 600.0);
        }
    }
}

void greet(Score const& score, int ms, Pose& pose)
{
    for (int const begin : score.waves) {
        double const t = (ms - begin) / 2000.0;
        if (t <= 0 || t >= 1)
            continue;
        pose.wave = ease(t * 4) * ease((1 - t) * 4);
        pose.wave_turn = std::sin(t * 2 * M_PI * 2.5) * pose.wave;
        pose.smile = std::max(pose.smile, pose.wave);
    }
}

/// The head follows the beat of played parts and the counting-in.
double nod_at(Score const& score, int ms)
{
    for (auto const& part : score.parts) {
        if (part.bars.empty())
            continue;
        int const beat = part.tempo > 0 ? 60'000 / part.tempo : 600;
        int const begin = part.first_bar - part.count_in * 4 * beat;
        if (ms < begin || ms >= part.to)
            continue;
        double const phase = static_cast<double>((ms - begin) % beat) / beat;
        return 0.5 + 0.5 * std::cos(phase * 2 * M_PI);
    }
    return 0;
}

} // namespace

Pose pose_at(Score const& score, int ms)
{
    Pose pose;
    fret_hand(score, ms, pose);
    strum_hand(score, ms, pose);
    strings(score, ms, pose);
    pose.nod = nod_at(score, ms);
    pose.breath = std::sin(ms / 3700.0 * 2 * M_PI);
    double const eyelid = std::abs((ms + 700) % 3900 - 90) / 90.0;
    pose.blink = eyelid < 1 ? 1 - eyelid : 0;
    bool const shapes = ms >= score.shown.front().from && ms < score.parts[2].from;
    pose.look = shapes ? 1 : ms >= score.parts[2].from && ms < score.waves.back() ? 0.45 : 0;
    pose.smile = 0.5 + 0.2 * std::sin(ms / 5100.0 * 2 * M_PI);
    greet(score, ms, pose);
    return pose;
}

} // namespace tabard::lantern
