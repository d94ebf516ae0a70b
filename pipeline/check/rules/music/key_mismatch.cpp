#include "overlay/music/capo/capo.h"
#include "pipeline/check/rules/music/key_of_chords.h"
#include "pipeline/check/rules/rules.h"

#include <fmt/format.h>

namespace tabard::pipeline {
namespace {

std::string advice_for(Lesson const& lesson, std::vector<PlayedName> const& names)
{
    overlay::Key const sounding = *lesson.sounding_key();
    if (*lesson.capo > 0 && !key_is_wrong(names, sounding))
        return "these look like the chords that sound: write the shapes that are played behind the capo";
    overlay::Key best = sounding;
    for (int semitones = 1; semitones < 12; ++semitones) {
        overlay::Key const key = sounding.transposed(semitones);
        if (count_belonging(names, key) > count_belonging(names, best))
            best = key;
    }
    return fmt::format("check \"key\" and \"capo\": these chords are at home in {}, which sounds {} behind this capo",
                       best.pretty(*lesson.names), overlay::sounding_key(best, *lesson.capo).pretty(*lesson.names));
}

std::vector<Finding> find(CheckInput const& input)
{
    auto const key = key_of_shapes(input.lesson);
    auto const names = played_names(input);
    if (!key || !key_is_wrong(names, *key))
        return {};
    return {kKeyMismatch.at(
        input.lesson.key.at, names.front().time,
        fmt::format("with the capo at fret {} the key {} is played in {}, and {} of {} chords are foreign "
                    "to that",
                    *input.lesson.capo, *input.lesson.key, key->pretty(*input.lesson.names),
                    static_cast<int>(names.size()) - count_belonging(names, *key), names.size()),
        advice_for(input.lesson, names))};
}

} // namespace

Rule const kKeyMismatch{
    "key-mismatch",
    Severity::warning,
    "capo, key and chords do not go together",
    "Chord names are what the hand plays; \"key\" is what sounds; the capo lies between the two. Key "
    "minus capo is the key of the shapes. Where more than half of the chords are foreign to it, one of "
    "the three is wrong: mostly the chords that sound were written instead of the shapes.",
    find,
    false,
    true};

} // namespace tabard::pipeline
