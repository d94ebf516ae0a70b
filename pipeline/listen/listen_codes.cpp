#include "pipeline/listen/listen_codes.h"

#include <array>

namespace tabard::pipeline {

FindingCode const kCueOffSound{
    "cue-off-sound", Severity::warning, "chords shown before or after they sound",
    "A learner who follows the picture would change at another instant than the player. Only with --listen: around "
    "each "
    "change of a chart the sound is searched for the stroke with which the new chord takes the place of the one before "
    "it, without a tempo and without looking at how the times were found. A cue may come 45 ms late or 125 ms early: "
    "more than that may be noticed (ITU-R BT.1359-1; tabard listen --check --late and --early say otherwise). "
    "Neighbours that are off by as much are one finding, and so are a whole part and all parts: what many cues have in "
    "common is known to some 5 ms, so half of what --early allows is said there, and nine tenths of what --late "
    "allows. "
    "A cue of which the sound says little counts as off with its part where the others clearly are. "
    "If all parts are off alike, something was cut off the film's beginning, or its sound was moved against its "
    "pictures: correct that first. Where the sound says nothing clear, nothing is said; a single chord half a beat "
    "early or late is how many play, and is not reported. tabard listen writes pins that follow the playing; where it "
    "is wrong, write a pin by hand."};
FindingCode const kChordNotAsWritten{
    "chord-not-as-written", Severity::warning, "a chord that sounds otherwise than its chart says",
    "Only with --listen: another major or minor triad fits the sound clearly better than the written chord. An added "
    "seventh, another bass or a suspension mostly cannot be told from the sound, and is not reported. Listen to it: "
    "either the chart is wrong or the player was."};
FindingCode const kCuesNotJudged{
    "cues-not-judged", Severity::advice, "a part whose times the sound cannot judge",
    "Only with --listen: nothing is known to be wrong, but the part's chords would sound as well half a beat or a beat "
    "before or after where they are shown. It has few changes of chord, or none, or they are hard to hear. A strum "
    "that "
    "is written for the part helps, since its strokes and rests are then known. Look at it once and listen, and accept "
    "it if it is right."};
FindingCode const kPartNotHeard{"part-not-heard", Severity::warning, "a part that is not heard as its chart has it",
                                "Only with --listen: fewer than half of the part's beats sound as written where its "
                                "cues are, and it is not clearly "
                                "heard elsewhere. Its chords, its place or its tempo may be wrong; or nobody plays "
                                "there, or talk covers the guitar."};
FindingCode const kCapoNotAsHeard{
    "capo-not-as-heard", Severity::warning, "all charts sound higher or lower than written",
    "Only with --listen: the charts fit the sound clearly better when all are moved by the same number of frets. "
    "Mostly \"capo\" is wrong, or the guitar is tuned lower than \"tuning\" says."};
FindingCode const kPlayedWithoutChords{
    "played-without-chords", Severity::warning, "a part that is played and has no chords",
    "Only with --listen: four seconds or more of playing in a part that has neither bars nor chords to show. A learner "
    "hears it and sees nothing. Write its chords, or accept it if it is not for the learner. A part whose name begins "
    "with "
    "\"Talk\" may be played in: there it is unexpected-playing."};
FindingCode const kUnexpectedPlaying{
    "unexpected-playing", Severity::advice, "a guitar that plays where no chart is",
    "Only with --listen: four seconds or more of playing outside every part that has bars or shows chords, and in none "
    "that is to have them. A learner hears it and sees nothing. Add a part with its bars, or accept it if it is not "
    "for "
    "the learner."};

std::span<FindingCode const> listen_codes()
{
    static std::array const kCodes{kCueOffSound,    kChordNotAsWritten,   kCuesNotJudged,    kPartNotHeard,
                                   kCapoNotAsHeard, kPlayedWithoutChords, kUnexpectedPlaying};
    return kCodes;
}

} // namespace tabard::pipeline
