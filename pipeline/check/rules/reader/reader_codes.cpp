#include "pipeline/check/rules/rules.h"

namespace tabard::pipeline {

// What the reader finds while it reads; the rules only name and explain it.

Rule const kNotJson{
    "not-json", Severity::error, "the file is no JSON",
    "A cue file is strict JSON (RFC 8259): text in straight double quotes, commas between values and none "
    "after the last, no comments. The reader stops at the first such place."};
Rule const kTooBig{
    "too-big", Severity::error, "a file that is too large",
    "A cue file has at most 16 MiB, 32 levels of nesting, 50 000 parts, cues, pins and bars, and a chart at "
    "most 4000 bars with its repeats. Whatever is larger was made by mistake or to do harm."};
Rule const kUnknownKey{
    "unknown-key", Severity::warning, "an unknown key",
    "The key is kept, but nothing reads it: mostly a slip of the pen. Remarks go into \"note\", which every "
    "object may have."};
Rule const kDuplicateKey{
    "duplicate-key", Severity::error, "a key that stands twice",
    "JSON does not say which of the two counts, so neither the next program nor the next reader knows."};
Rule const kMissingKey{
    "missing-key", Severity::error, "a key that is missing",
    "A lesson needs \"tabard\", \"title\", \"footage\" and \"sections\"; a part \"name\" and \"from\" or "
    "\"pins\"; a cue \"from\" and what it shows; an acceptance \"code\" and \"reason\"."};
Rule const kWrongType{
    "wrong-type", Severity::error, "a value of the wrong kind",
    "A text where a number belongs, a list where a text belongs. The schema in templates/ lets editors show "
    "this while you type."};
Rule const kBadValue{
    "bad-value", Severity::error, "a value that is not understood",
    "Keys, tunings, meters, tempos and words of a choice are checked when the file is read; the message says "
    "what may stand there."};
Rule const kBadTime{
    "bad-time", Severity::error, "a time that does not exist",
    "Times are written 1:02:03.5, 2:03.5 or as seconds; labels with frames 1:02:03:12, with a semicolon before "
    "the frames for drop-frame. A label that no frame has (SMPTE ST 12-1) is refused, and the next one named."};
Rule const kBadShape{
    "bad-shape", Severity::error, "frets or fingers that cannot be read",
    "One sign for each string, low string first: x muted, 0 open, else the fret from the capo; dashes between where "
    "a fret has two digits. Fingers: 1 to 4, T the thumb, - none."};
Rule const kBadStrum{
    "bad-strum", Severity::error, "a strum that cannot be read",
    "Steps divide the bar evenly: D, U, or - where the hand passes, with x for muted, > for an accent, p i m a "
    "for a finger; or plucked strings, 6p 3i 1a, R for the chord's own bass."};
Rule const kBadChart{
    "bad-chart", Severity::error, "bars that cannot be read",
    "Bars stand between |; / holds a chord one more beat, % repeats the bar before, N.C. is no chord, |: :| "
    "with x3 repeats."};
Rule const kBeatsInBar{
    "beats-in-bar", Severity::error, "a bar whose beats do not add up",
    "Chords without / share their bar evenly, where its beats divide so; else chords and / must add up to the "
    "meter (in 6/8 to six beats or two pulses). Otherwise every later chord of the part would come early or late."};
Rule const kUnknownStrum{"unknown-strum", Severity::error, "an unknown strum",
                         "A part or a cue names a pattern of the \"strums\" table."};
Rule const kNoLength{"no-length", Severity::error, "an end before its beginning",
                     "\"to\" must come after \"from\": a part or a cue that ends where it begins is never seen."};
Rule const kBadPin{
    "bad-pin", Severity::error, "a pin that cannot be read",
    "A pin is a list of two: a place in the bars (\"5.1\" is the first beat of bar 5) and its time in the film. "
    "Beats count as the meter is written: 6/8 has six. \"0:37 to 0:43.6\" is a pause, \"5.1 to 7.1\" skips bars 5 and "
    "6."};
Rule const kPinOrder{
    "pin-order", Severity::error, "pins out of order",
    "Pins rise in place and in time. Two at one place, or one that goes back, say that music runs backwards. "
    "So does one in the pause or among the skipped bars of the pin before it."};
Rule const kNoTime{
    "no-time", Severity::error, "bars without a time",
    "A part with bars needs to know when they are played. \"tabard listen LESSON -o TIMED\" finds that in the sound of "
    "the film; or write \"from\", or pins."};
Rule const kNoTempo{
    "no-tempo", Severity::error, "bars without a tempo",
    "To know when a bar is played takes a start and a \"tempo\" (the lesson's or the part's), or a start "
    "and an end (\"to\"), or two pins."};
Rule const kMinutesOrSeconds{
    "minutes-or-seconds", Severity::warning, "a time in seconds that looks like minutes and seconds",
    "1.35 is one second and a third; one minute and 35 seconds are \"1:35\". Told where the part would be shorter than "
    "three "
    "seconds or the film is more than ten times as long, and no other time of the file is in seconds."};

} // namespace tabard::pipeline
