#include "pipeline/retime/edl_line.h"

#include <algorithm>
#include <cctype>
#include <charconv>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

constexpr std::string_view kBetweenWords = " \t\f\v";

using Transition = EdlEvent::Transition;

Error wrong(std::string what) { return {ErrorKind::invalid_input, std::move(what)}; }

bool is_digit(char sign) { return std::isdigit(static_cast<unsigned char>(sign)) != 0; }

/// "01:00:00:00", and what was meant as one: "1:00:00", "01:00:00:0O".
bool resembles_label(std::string_view text)
{
    return !text.empty() && is_digit(text.front()) &&
           std::ranges::count_if(text, [](char sign) { return sign == ':' || sign == ';'; }) >= 2;
}

/// "001", "002A", "E003".
bool resembles_number(std::string_view text)
{
    return text.size() <= 8 && std::ranges::any_of(text, is_digit) &&
           std::ranges::all_of(text, [](unsigned char sign) { return std::isalnum(sign) != 0; });
}

bool ends_in_numbers(EdlTokens const& tokens)
{
    return tokens.size() >= 8 && std::all_of(tokens.end() - 4, tokens.end(), [](std::string_view token) {
               return all_digits(token) || resembles_label(token);
           });
}

std::int64_t labels_in(EdlTokens const& tokens) { return std::ranges::count_if(tokens, resembles_label); }

/// The name of a track and how many signs it has; 0 where `text` begins with none.
std::size_t track_at(std::string_view text, EdlEvent& event)
{
    if (text.starts_with("NONE"))
        return 4;
    if (text.starts_with('B')) {
        event.video = event.audio = true;
        return 1;
    }
    if (text.empty() || (text.front() != 'V' && text.front() != 'A'))
        return 0;
    bool const is_video = text.front() == 'V';
    std::size_t end = 1;
    while (end < text.size() && is_digit(text[end]))
        ++end;
    if (is_video) {
        if (end > 3)
            return 0;
        int number = 0;
        std::from_chars(text.data() + 1, text.data() + end, number);
        event.video = true;
        if (number > 1)
            event.upper_track = number;
        return end;
    }
    event.audio = true;
    return end == 1 && text.substr(1).starts_with('A') && (text.size() == 2 || !is_digit(text[2])) ? 2 : end;
}

} // namespace

bool all_digits(std::string_view text) { return !text.empty() && std::ranges::all_of(text, is_digit); }

EdlTokens edl_tokens(std::string_view line)
{
    EdlTokens tokens;
    for (std::size_t from = line.find_first_not_of(kBetweenWords); from != std::string_view::npos;) {
        std::size_t const to = std::min(line.find_first_of(kBetweenWords, from), line.size());
        tokens.push_back(line.substr(from, to - from));
        from = line.find_first_not_of(kBetweenWords, to);
    }
    return tokens;
}

std::string edl_words(EdlTokens const& tokens, std::size_t from, std::size_t to)
{
    return fmt::format("{}", fmt::join(tokens.begin() + static_cast<std::ptrdiff_t>(from),
                                       tokens.begin() + static_cast<std::ptrdiff_t>(to), " "));
}

std::string in_capitals(std::string_view text)
{
    std::string result{text};
    std::ranges::transform(result, result.begin(), [](char sign) {
        return sign >= 'a' && sign <= 'z' ? static_cast<char>(sign - 'a' + 'A') : sign;
    });
    return result;
}

EdlLine edl_line(EdlTokens const& tokens)
{
    if (tokens.empty())
        return EdlLine::empty;
    std::string const head = in_capitals(tokens[0]);
    if (head.starts_with("TITLE"))
        return EdlLine::comment;
    std::int64_t const labels = labels_in(tokens);
    if (head.starts_with('*') || head.starts_with('#') || head.starts_with('>'))
        return labels >= 4 && resembles_label(tokens.back()) ? EdlLine::resembling : EdlLine::comment;
    if (labels >= 3 || all_digits(head))
        return EdlLine::event;
    if (head.starts_with("FCM"))
        return EdlLine::frame_code;
    if (head == "M2")
        return EdlLine::motion;
    if (resembles_number(head) && (labels == 2 || ends_in_numbers(tokens)))
        return EdlLine::event;
    return EdlLine::comment;
}

bool read_edl_tracks(std::string_view text, EdlEvent& event)
{
    std::string const tracks = in_capitals(text);
    std::string_view rest = tracks;
    while (true) {
        std::size_t const length = track_at(rest, event);
        if (length == 0)
            return false;
        bool const stands_alone = rest.starts_with('B') || rest.starts_with("NONE");
        bool const is_bare_sound = rest.starts_with('A') && !is_digit(rest[length - 1]);
        rest.remove_prefix(length);
        if (rest.empty())
            return true;
        if (rest.front() == '/' || rest.front() == '+')
            rest.remove_prefix(1);
        else if (stands_alone || rest.starts_with('B') || rest.starts_with('N') ||
                 (is_bare_sound && rest.starts_with('A')))
            return false;
    }
}

Result<std::size_t> read_edl_transition(EdlTokens const& tokens, std::size_t end, EdlEvent& event)
{
    std::string_view length;
    if (end >= 5 && all_digits(tokens[end - 1]))
        length = tokens[--end];
    // The number of a wipe may stand alone.
    bool const has_wipe_number = end >= 5 && all_digits(tokens[end - 1]) && in_capitals(tokens[end - 2]) == "W";
    end -= has_wipe_number ? 1 : 0;
    std::string name = in_capitals(tokens[end - 1]);
    if ((name == "B" || name == "O") && end >= 5 && in_capitals(tokens[end - 2]) == "K") {
        name = "K" + name;
        --end;
    }
    if (length.empty() && name.size() > 1 && (name[0] == 'D' || name[0] == 'K') && all_digits(name.substr(1))) {
        length = tokens[end - 1].substr(1);
        name = name.substr(0, 1);
    }
    if (name == "C" || name == "KB")
        event.transition = Transition::cut; // what lies under a key is the picture
    else if (name == "D")
        event.transition = Transition::dissolve;
    else if (has_wipe_number || (name.size() > 1 && name[0] == 'W' && all_digits(name.substr(1))))
        event.transition = Transition::wipe;
    else if (name == "K" || name == "KO")
        event.transition = Transition::key;
    else
        return wrong(fmt::format("'{}' is no transition: C, D, W and a wipe's number, K, K B or K O", tokens[end - 1]));
    bool const blends = event.transition == Transition::dissolve || event.transition == Transition::wipe;
    if (blends && length.empty())
        return wrong("a dissolve or wipe needs its length in frames before the labels");
    if (length.empty())
        return end - 1;
    auto const read = std::from_chars(length.data(), length.data() + length.size(), event.transition_frames);
    if (read.ec != std::errc{})
        return wrong(fmt::format("'{}' is no length of a transition", length));
    return end - 1;
}

} // namespace tabard::pipeline
