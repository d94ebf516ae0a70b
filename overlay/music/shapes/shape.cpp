#include "overlay/music/shapes/shape.h"

#include <algorithm>
#include <map>
#include <utility>

#include <fmt/format.h>

namespace tabard::overlay {
namespace {

constexpr int kHighestFret = 36;
constexpr std::size_t kMostStrings = 12;
constexpr std::string_view kSeparators = "- ";

Error wrong_sign(std::string_view what, std::string_view text, std::size_t index, std::string_view allowed)
{
    return {ErrorKind::invalid_input,
            fmt::format("{} \"{}\": position {} should be {}", what, text, index + 1, allowed)};
}

/// One fret a word, "10" or "x". `offset` is where the word begins in `whole`.
Result<int> fret_of(std::string_view word, std::string_view whole, std::size_t offset)
{
    constexpr std::string_view kAllowed = "x (muted), 0 (open) or a fret up to 36";
    if (word == "x" || word == "X")
        return kMuted;
    int fret = 0;
    for (char const c : word) {
        if (c < '0' || c > '9' || fret > kHighestFret)
            return wrong_sign("frets", whole, offset, kAllowed);
        fret = fret * 10 + (c - '0');
    }
    if (word.empty() || fret > kHighestFret)
        return wrong_sign("frets", whole, offset, kAllowed);
    return fret;
}

Result<std::vector<int>> frets_of(std::string_view text)
{
    bool const separated = text.find_first_of(kSeparators) != std::string_view::npos;
    std::vector<int> frets;
    for (std::size_t begin = 0; begin < text.size() && frets.size() <= kMostStrings;) {
        auto const end = separated ? std::min(text.find_first_of(kSeparators, begin), text.size()) : begin + 1;
        TRY_ASSIGN(int const fret, fret_of(text.substr(begin, end - begin), text, begin));
        frets.push_back(fret);
        if (separated && end + 1 == text.size())
            return wrong_sign("frets", text, end, "followed by a fret");
        begin = separated ? end + 1 : end;
    }
    if (frets.size() < 3 || frets.size() > kMostStrings)
        return Error{
            ErrorKind::invalid_input,
            fmt::format("frets \"{}\": write one sign for each string, for 3 to {} strings, as in \"x24432\" or "
                        "\"x-10-12-12-12-10\"",
                        text, kMostStrings)};
    return frets;
}

Result<std::vector<int>> fingers_of(std::string_view text)
{
    std::vector<int> fingers;
    for (std::size_t i = 0; i < text.size(); ++i) {
        char const c = text[i];
        if (c == '-' || c == '0')
            fingers.push_back(kNoFinger);
        else if (c >= '1' && c <= '4')
            fingers.push_back(c - '0');
        else if (c == 'T' || c == 't')
            fingers.push_back(kThumb);
        else
            return wrong_sign("fingers", text, i, "1 to 4, T (thumb) or - (no finger)");
    }
    return fingers;
}

bool free_between(std::vector<int> const& frets, std::size_t first, std::size_t last, int fret)
{
    return std::all_of(frets.begin() + static_cast<std::ptrdiff_t>(first),
                       frets.begin() + static_cast<std::ptrdiff_t>(last),
                       [&](int other) { return other == kMuted || other >= fret; });
}

} // namespace

Result<Shape> Shape::parse(std::string_view frets, std::string_view fingers)
{
    Shape shape;
    TRY_ASSIGN(shape.frets, frets_of(frets));
    TRY_ASSIGN(shape.fingers, fingers_of(fingers));
    if (!shape.fingers.empty() && shape.fingers.size() != shape.frets.size())
        return Error{ErrorKind::invalid_input,
                     fmt::format("fingers \"{}\" are for {} strings, but frets \"{}\" are for {}", fingers,
                                 shape.fingers.size(), frets, shape.frets.size())};
    return shape;
}

std::string Shape::frets_text() const
{
    bool const wide = std::ranges::any_of(frets, [](int fret) { return fret > 9; });
    std::string text;
    for (int const fret : frets) {
        if (wide && !text.empty())
            text += '-';
        text += fret == kMuted ? "x" : std::to_string(fret);
    }
    return text;
}

std::string Shape::fingers_text() const
{
    std::string text;
    for (int const finger : fingers)
        text += finger == kNoFinger ? '-' : finger == kThumb ? 'T' : static_cast<char>('0' + finger);
    return text;
}

std::vector<Barre> Shape::barres() const
{
    std::map<std::pair<int, int>, std::vector<std::size_t>> held; // fret and finger -> strings
    for (std::size_t i = 0; i < fingers.size(); ++i)
        if (fingers[i] != kNoFinger && frets[i] > 0)
            held[{frets[i], fingers[i]}].push_back(i);
    std::vector<Barre> found;
    for (auto const& [place, strings] : held) {
        auto const first = strings.front();
        auto const last = strings.back();
        if (strings.size() > 1 && free_between(frets, first, last, place.first))
            found.push_back({place.first, place.second, static_cast<int>(first), static_cast<int>(last)});
    }
    return found;
}

} // namespace tabard::overlay
