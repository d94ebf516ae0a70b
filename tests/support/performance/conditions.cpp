#include "tests/support/performance/conditions.h"

#include <utility>

namespace tabard::tests {

namespace {

using Kinds = std::vector<Condition>;

/// What most lessons are strummed with.
std::vector<std::string> const kEveryday{"D D D D", "D - D U - U D U", "D U D U D U D U", "D - D U D - D U",
                                         "Rp D Rp D"};

void add_free_playing(Kinds& kinds)
{
    Manner const plain;
    Manner picked = plain;
    picked.picked = true;
    Manner pushed = plain;
    pushed.push = 0.45;
    Manner wrong = plain;
    wrong.wrong = 0.12;
    Manner sloppy = plain;
    sloppy.jitter = 0.018;
    sloppy.drift = 0.10;
    sloppy.open_strings = 0.5;
    sloppy.missed = 0.08;
    Manner lesson = plain;
    lesson.gap = 12;
    lesson.noodle = true;
    Manner waltz = plain;
    waltz.beats_per_bar = 3;
    kinds = {
        {.name = "clean", .manner = plain},
        {.name = "three beats in a bar", .manner = waltz},
        {.name = "reverb 1.2 s", .manner = plain, .reverb_seconds = 1.2},
        {.name = "noise at 15 dB", .manner = plain, .noise_decibels = 15},
        {.name = "noise at 5 dB", .manner = plain, .noise_decibels = 5},
        {.name = "30 cents flat", .manner = plain, .cents = -30},
        {.name = "30 cents sharp, AAC 64k", .manner = plain, .cents = 30, .aac = true},
        {.name = "voice at equal level", .manner = plain, .voice_level = 1},
        {.name = "sung melody", .manner = plain, .singing_level = 0.7},
        {.name = "lesson: talk and noodling between", .manner = lesson, .talk_between = true},
        {.name = "finger-picked", .manner = picked},
        {.name = "45 % of changes pushed", .manner = pushed},
        {.name = "wrong chords played", .manner = wrong},
        {.name = "sloppy hands, 10 % drift", .manner = sloppy},
    };
}

void add_patterns(Kinds& kinds)
{
    // The author writes two of three patterns down, and the player leaves them in one bar of twelve.
    auto const pattern = [&kinds](std::string name, std::vector<std::string> patterns) -> Manner& {
        Manner manner;
        manner.patterns = std::move(patterns);
        manner.written = 0.67;
        manner.fills = 0.08;
        kinds.push_back({.name = "pattern: " + std::move(name), .manner = std::move(manner)});
        return kinds.back().manner;
    };
    pattern("down on the beats", {"D D D D"});
    pattern("eighths", {"D U D U D U D U", "D - D U D U D U"});
    pattern("passes beat 3", {"D - D U - U D U"});
    pattern("bass then strum", {"Rp D Rp D", "Rp - D U Rp - D U", "Rp D D D"});
    pattern("boom-chick", {"Rp D 4p D", "Rp - D - 5p - D U", "Rp - D U 4p - D U"});
    auto& waltz = pattern("waltz", {"D D D", "Rp D D", "Rp - D U D U"});
    waltz.beats_per_bar = 3;
    auto& six = pattern("6/8", {"D D D D D D", "D - D D U D", "D - U D - U", "Rp 3i 2m 1a 2m 3i"});
    six.beats_per_bar = 2;
    six.compound = true;
    six.tempo_low = 44;
    six.tempo_high = 76;
    auto& reggae = pattern("off-beats", {"- D - D - D - D"});
    reggae.rings = 0.18;
    auto& backbeat = pattern("chops on 2 and 4", {"- D - D"});
    backbeat.rings = 0.2;
    pattern("muted strokes", {"D - Dx U - U Dx U", "D Dx D Dx", "D Ux Dx U D Ux Dx Ux"});
    pattern("all muted but the changes", {"D Dx Dx Dx", "D Ux Dx Ux Dx Ux Dx Ux"});
    auto& sixteenths = pattern("sixteenths", {"D - D U D - D U D - D U D - D U", "D - - U - U D U D - - U - U D U",
                                              "D U D U D U D U D U D U D U D U"});
    sixteenths.tempo_low = 60;
    sixteenths.tempo_high = 96;
    pattern("accents on 2 and 4", {"D D> D D>", "D U D> U D U D> U", "D - D> U - U D> U"});
    auto& rests = pattern("rests", {"D - - - D - D -", "D - D - D - - -", "D - D U - - D U"});
    rests.stops_in_rests = true;
    auto& swing = pattern("swing", {"D U D U D U D U", "D - D U D - D U"});
    swing.swing = 0.667;
    auto& arpeggio = pattern("picked: arpeggios", {"Rp 3i 2m 3i 1a 3i 2m 3i", "Rp 3i 2m 1a 2m 3i 2m 3i"});
    arpeggio.jitter = 0.010;
    pattern("picked: pinch", {"Rp+1a 3i 2m 3i Rp+2m 3i 1a 3i", "Rp+2m+1a - 3i - Rp+2m+1a - 3i -"});
    auto& thumb = pattern("picked: thumb goes to and fro", {"Rp+1a - 4p 2m Rp 3i 4p 1a", "Rp - 4p 3i 5p 2m 4p 1a"});
    thumb.passing_notes = 0.1;
    auto& rich = pattern("picked: sixteenths", {"Rp 3i 2m 1a 2m 3i 4p 3i Rp 3i 2m 1a 2m 3i 4p 3i"});
    rich.tempo_low = 50;
    rich.tempo_high = 80;
    rich.passing_notes = 0.05;
    auto& palm = pattern("palm-muted", {"D D D D D D D D", "D U D U D U D U"});
    palm.rings = 0.16;
    auto& slow = pattern("slow", {"D - - - D - - -", "D - D - D - D U"});
    slow.tempo_low = 46;
    slow.tempo_high = 64;
    auto& fast = pattern("fast", {"D D D D", "D - D U - U D U"});
    fast.tempo_low = 130;
    fast.tempo_high = 168;
}

Manner everyday()
{
    Manner manner;
    manner.patterns = kEveryday;
    manner.written = 0.67;
    manner.fills = 0.08;
    return manner;
}

void add_files(Kinds& kinds)
{
    Manner one = everyday();
    one.one_chord = true;
    kinds.push_back({.name = "one chord a part", .manner = one});
    Manner untimed = everyday();
    untimed.tempo_written = false;
    kinds.push_back({.name = "no tempo written", .manner = untimed});
    Manner anywhere = everyday();
    anywhere.places_written = false;
    kinds.push_back({.name = "no places written", .manner = anywhere});
    Manner rough = everyday();
    rough.about_error = 4;
    rough.tempo_error = 0.1;
    kinds.push_back({.name = "places 4 s off, tempo 10 % off", .manner = rough});
    Manner slowing = everyday();
    slowing.ritardando = 0.6;
    kinds.push_back({.name = "slows down at the end", .manner = slowing});
    Manner free = everyday();
    free.rubato = 0.15;
    kinds.push_back({.name = "rubato", .manner = free});
}

void add_hard_sound(Kinds& kinds)
{
    Manner const plain = everyday();
    auto const add = [&kinds](Condition condition) { kinds.push_back(std::move(condition)); };
    add({.name = "laptop microphone", .manner = plain, .reverb_seconds = 0.4, .microphone = Microphone::laptop});
    add({.name = "laptop, talk between",
         .manner = plain,
         .reverb_seconds = 0.4,
         .talk_between = true,
         .aac = true,
         .recorded_voice = true,
         .microphone = Microphone::laptop});
    add({.name = "phone, AAC 64k",
         .manner = plain,
         .reverb_seconds = 0.3,
         .aac = true,
         .microphone = Microphone::phone});
    add({.name = "hard clipping", .manner = plain, .clipped = 0.25});
    add({.name = "clipped peaks", .manner = plain, .clipped = 0.5});
    add({.name = "noise at 10 dB", .manner = plain, .noise_decibels = 10});
    add({.name = "noise at 3 dB", .manner = plain, .noise_decibels = 3});
    add({.name = "hum at 10 dB", .manner = plain, .hum_decibels = 10});
    add({.name = "AAC 32k", .manner = plain, .aac = true, .bit_rate = "32k"});
    add({.name = "hall 2.5 s", .manner = plain, .reverb_seconds = 2.5});
    add({.name = "45 cents flat", .manner = plain, .cents = -45});
    Manner capo = plain;
    capo.capo = 2;
    add({.name = "capo 2 that nobody wrote", .manner = capo});
    add({.name = "a person talks over it", .manner = plain, .voice_level = 0.7, .recorded_voice = true});
    add({.name = "a person talks over it, 6 dB above", .manner = plain, .voice_level = 2, .recorded_voice = true});
    Manner lesson = plain;
    lesson.gap = 14;
    add({.name = "a person talks between", .manner = lesson, .talk_between = true, .recorded_voice = true});
    Manner picked = plain;
    picked.patterns = {"Rp 3i 2m 3i 1a 3i 2m 3i", "Rp+1a - 4p 2m Rp 3i 4p 1a"};
    add({.name = "picked, singing, phone", .manner = picked, .singing_level = 0.8, .microphone = Microphone::phone});
}

void add_deviating(Kinds& kinds)
{
    auto const add = [&kinds](std::string name, Manner manner) {
        kinds.push_back(
            {.name = std::move(name), .manner = std::move(manner), .recorded_voice = true, .deviating = true});
    };
    auto const departing = [](Departure departure) {
        Manner manner = everyday();
        manner.departure = departure;
        return manner;
    };
    add("stops at a bar line", departing(Departure::pause));
    add("stops inside a bar", departing(Departure::pause_inside));
    add("holds a chord", departing(Departure::hold));
    add("extra bar", departing(Departure::extra));
    add("skips a bar or two", departing(Departure::skip));
    add("a bar or two again", departing(Departure::again));
    add("begins the bar anew", departing(Departure::restart_bar));
    add("begins the part anew", departing(Departure::restart_part));
    add("one or two of these", departing(Departure::any));
    Manner picked = departing(Departure::any);
    picked.patterns = {"Rp 3i 2m 3i 1a 3i 2m 3i", "Rp+1a - 4p 2m Rp 3i 4p 1a", "Rp+1a 3i 2m 3i Rp+2m 3i 1a 3i"};
    add("one or two of these, picked", picked);
    auto const ordered = [](PartOrder order) {
        Manner manner = everyday();
        manner.order = order;
        return manner;
    };
    Manner other = ordered(PartOrder::other);
    other.places_written = false;
    add("other order, no places written", other);
    add("a part played twice", ordered(PartOrder::twice));
    add("a part not played", ordered(PartOrder::not_played));
}

void add_between_chords(Kinds& kinds)
{
    Manner runs = everyday();
    runs.runs = 0.5;
    kinds.push_back({.name = "bass runs before changes", .manner = runs});
    Manner lifts = everyday();
    lifts.lifts = 0.8;
    kinds.push_back({.name = "the hand lifts before changes", .manner = lifts});
    Manner strict = everyday();
    strict.drift = 0.004;
    kinds.push_back({.name = "metronome", .manner = strict, .click = 0.7});
}

} // namespace

std::vector<Condition> conditions()
{
    Kinds kinds;
    add_free_playing(kinds);
    add_patterns(kinds);
    add_files(kinds);
    add_hard_sound(kinds);
    add_deviating(kinds);
    add_between_chords(kinds); // new kinds come last: a kind's seeds go by its place
    return kinds;
}

} // namespace tabard::tests
