#include "pipeline/check/rules/readability/short_cue.h"

#include "pipeline/check/rules/text_in_words.h"

#include <fmt/format.h>

namespace tabard::pipeline {

std::vector<TalkCue> talk_cues(Timeline const& timeline)
{
    std::vector<TalkCue> cues;
    for (ChordSpan const& span : timeline.chords())
        if (!span.played)
            cues.push_back({fmt::format("chord '{}'", span.name), span.in, span.out, span.at});
    for (StrumSpan const& span : timeline.strums())
        if (!span.played)
            cues.push_back({fmt::format("strum '{}'", span.name), span.in, span.out, span.at});
    for (TextSpan const& span : timeline.texts())
        cues.push_back({fmt::format("text '{}'", text_in_words(span.text)), span.in, span.out, span.at});
    return cues;
}

Time ten_pictures(CheckInput const& input) { return from_frame(10, input.timeline.facts().rate); }

} // namespace tabard::pipeline
