#include "pipeline/publish/read_captions.h"

#include "overlay/base/small_letters.h"
#include "overlay/base/text_encoding.h"
#include "overlay/base/utf8.h"
#include "pipeline/publish/caption_lines.h"
#include "pipeline/publish/left_out.h"
#include "pipeline/publish/subrip_reader.h"
#include "pipeline/publish/webvtt_reader.h"

#include <algorithm>

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

Error wrong(std::string what) { return {ErrorKind::invalid_input, std::move(what)}; }

/// A first line that was meant to be WebVTT's signature: in small letters, with more behind it, or below empty lines.
Result<void> check_signature(std::vector<std::string> const& lines)
{
    auto const first = std::ranges::find_if_not(lines, [](auto const& line) { return trimmed_line(line).empty(); });
    if (first == lines.end())
        return wrong("the file is empty");
    if (!small_letters(std::string{trimmed_line(*first)}).starts_with("webvtt"))
        return {};
    return wrong(left_out(static_cast<std::size_t>(first - lines.begin()),
                          "this is no WebVTT: the file's first line must be WEBVTT in capitals, alone or with a blank "
                          "after it"));
}

std::size_t line_of(std::string_view text, std::size_t offset)
{
    return caption_lines(text.substr(0, offset)).size() - 1;
}

} // namespace

Result<CaptionReading> parse_captions(std::string_view bytes)
{
    std::string const text = text_of_bytes(bytes);
    std::size_t const foreign = first_invalid_utf8(text);
    auto const lines = caption_lines(valid_utf8(text));
    bool const webvtt = has_webvtt_signature(lines[0]);
    if (!webvtt)
        TRY_VOID(check_signature(lines));
    CaptionReading reading = webvtt ? read_webvtt(lines) : read_subrip(lines);
    auto& captions = reading.file.captions;
    if (captions.empty() && reading.left_out.empty())
        return wrong("the file holds no captions");
    if (captions.empty() && !webvtt && std::ranges::none_of(lines, is_like_timing))
        return wrong(
            "this is neither WebVTT, whose first line is WEBVTT, nor SubRip, whose captions stand under lines such "
            "as 00:01:02,500 --> 00:01:04,000");
    if (captions.empty())
        return wrong(fmt::format("no caption can be read; {}", reading.left_out[0]));
    if (foreign < text.size() && !webvtt)
        return wrong(left_out(line_of(text, foreign), "some letters are not UTF-8; save the captions as UTF-8"));
    if (foreign < text.size()) // as the standard decodes it
        reading.left_out.push_back(left_out(
            line_of(text, foreign), "letters that are not UTF-8 are shown as \uFFFD; save the captions as UTF-8"));
    std::ranges::stable_sort(captions, {}, &Caption::from);
    return reading;
}

} // namespace tabard::pipeline
