#pragma once
#include "pipeline/listen/align.h"
#include "pipeline/listen/second_reading.h"

#include <string>
#include <string_view>

namespace tabard::pipeline {

/// What listening says of a part: where it is, where it may be, or that it is not heard.
enum class Verdict { sure, doubtful, not_found };
/// "sure", "doubtful", "not found".
std::string_view verdict_word(Verdict verdict);

struct Judgement {
    Verdict verdict = Verdict::not_found;
    double confidence = 0; ///< 0 to 1: how likely each change lies within 200 ms of where it was found
    std::string reason;    ///< in plain words: "it might as well lie one beat earlier"; empty where it is sure
    std::string help;      ///< what the author can do: "write a pin where bar 3 begins"
};

/// The share of a part's beats that must sound as written before it is sure, and before it is found at all.
constexpr double kTrusted = 0.75;
constexpr double kHeard = 0.5;

/// How likely every change must be within 200 ms before a part is sure.
constexpr double kSure = 0.95;

/// Whether what was found of a part is where it is played: the likelihood of its signs decides, and the sign that
/// speaks most against it is the reason. `first_bar` is the bar of its first beat.
Judgement judge(ExpectedPart const& part, AlignedPart const& found, SecondReading const& second, int first_bar = 1);

} // namespace tabard::pipeline
