// What stands on the strip of time, in words and times: parts, their edges, pins, single cues, findings.
import { clock } from "./page";
import type { Finding, Lesson, Path } from "./page";

export type Row = "parts" | "cues" | "findings";

export interface StripMark {
  id: string; // the same after a change
  row: Row;
  kind: "part" | "start" | "end" | "pin" | "chord" | "text" | "strum" | "until" | Finding["severity"];
  time: number;
  to: number | null; // of a part
  name: string; // "Verse starts"
  label: string; // shown in it
  part: number | null;
  path: Path | null; // of its time in the file; null: it cannot be moved
  removable: Path | null;
  finding: Finding | null;
}

const none = { to: null, label: "", path: null, removable: null, finding: null };

export function marksOf(lesson: Lesson): StripMark[] {
  const marks: StripMark[] = [];
  for (const part of lesson.parts) {
    const { index, name, from, to } = part;
    const at: Path = ["sections", index];
    if (from !== null) {
      const end = to ?? from;
      marks.push({ ...none, id: `part-${index}`, row: "parts", kind: "part", time: from, to: end, name: `Part ${name}`, label: name, part: index });
      if (part.written.from !== null)
        marks.push({ ...none, id: `start-${index}`, row: "parts", kind: "start", time: from, to: end, name: `${name} starts`, part: index, path: [...at, "from"] });
      if (part.written.to !== null)
        marks.push({ ...none, id: `end-${index}`, row: "parts", kind: "end", time: end, to: from, name: `${name} ends`, part: index, path: [...at, "to"] });
    }
    for (const pin of part.pins) {
      const path: Path = [...at, "pins", pin.index];
      const { bar, time, goes_on } = pin;
      const skips = goes_on && goes_on.bar !== bar ? `${bar} to ${goes_on.bar}` : bar;
      const pauses = goes_on !== null && goes_on.time > time;
      marks.push({ ...none, id: `pin-${index}-${pin.index}`, row: "cues", kind: "pin", time, name: `Pin ${skips} of ${name}${pauses ? ": the playing stops" : ""}`,
                   label: skips, part: index, path: [...path, 1], removable: path });
      if (pauses)
        marks.push({ ...none, id: `goes-on-${index}-${pin.index}`, row: "cues", kind: "until", time: goes_on.time, name: `${name} goes on at ${goes_on.bar}`,
                     part: index, path: [...path, 1, "to"] });
    }
    for (const cue of part.show) {
      const path: Path = [...at, "show", cue.index];
      const what = { chord: "Chord", text: "Text", strum: "Strum" }[cue.kind];
      marks.push({ ...none, id: `cue-${index}-${cue.index}`, row: "cues", kind: cue.kind, time: cue.from, name: `${what} ${cue.value} in ${name}`,
                   label: cue.value, part: index, path: [...path, "from"], removable: path });
      if (cue.ends && cue.to !== null)
        marks.push({ ...none, id: `until-${index}-${cue.index}`, row: "cues", kind: "until", time: cue.to, name: `End of ${what.toLowerCase()} ${cue.value} in ${name}`,
                     part: index, path: [...path, "to"], removable: [...path, "to"] });
    }
  }
  marks.push(...findingMarks(lesson));
  return marks.sort((a, b) => a.time - b.time);
}

/** One mark for all findings of an instant, as the worst of them. */
function findingMarks(lesson: Lesson): StripMark[] {
  const at = new Map<string, Finding[]>();
  for (const finding of lesson.findings)
    if (finding.time !== null) at.set(clock(finding.time), [...(at.get(clock(finding.time)) ?? []), finding]);
  const worst = ["error", "warning", "advice"];
  return [...at].map(([time, findings]) => {
    const first = findings.sort((a, b) => worst.indexOf(a.severity) - worst.indexOf(b.severity))[0]!;
    const more = findings.length > 1 ? ` (and ${findings.length - 1} more here)` : "";
    const severity = { error: "Error", warning: "Warning", advice: "Advice" }[first.severity];
    return { ...none, id: `finding-${time}`, row: "findings" as const, kind: first.severity, time: first.time!, name: `${severity}: ${first.what}${more}`,
             part: first.part, finding: first };
  });
}
