// What the parts of the page know of each other. Values are those of the server (../README.md); nothing is worked out here.

export interface Finding {
  severity: "error" | "warning" | "advice";
  code: string;
  what: string;
  fix: string;
  line: number;
  column: number;
  part: number | null;
  path: Path;
  time: number | null;
  more: number;
  repairs: { words: string; edits: Edit[] }[];
}

export type Path = (string | number)[];
export type Edit = { path: Path; value: unknown } | { path: Path; remove: true } | { path: Path; insert: unknown }
  | { path: Path; move: number | string };

export interface Part {
  index: number;
  name: string;
  as: string | null;
  from: number | null; // seconds of film time, as all times here
  to: number | null;
  shown_from: number | null;
  bars_from: number | null;
  bars_to: number | null;
  written: { from: unknown; to: unknown; tempo: number | null; meter: string | null; strum: string | null; count_in: number | null;
             placement: string | null; text: string | null; bars: string | null };
  tempo: number | null;
  meter: string;
  strum: string | null;
  pins: { index: number; bar: string; time: number; goes_on: { bar: string; time: number } | null }[];
  show: { index: number; kind: "chord" | "text" | "strum"; value: string; from: number; to: number | null; ends: boolean }[];
  changes: { from: number; to: number; chord: string; bar: number; beat: number }[];
}

export interface Film {
  name: string;
  state: "ready" | "making" | "missing" | "refused";
  why: string;
  share: number;
  width: number;
  height: number;
  start: number;
  end: number;
  rate: number;
  variable: boolean;
  sound: boolean;
}

export interface Lesson {
  digest: string;
  name: string;
  title: string;
  undo: string;
  redo: string;
  broken: string;
  drawn: string;
  film: Film;
  lesson: { names: string | null; key: string | null; capo: number | null; meter: string | null; tempo: number | null; instrument: string | null;
            placement: string | null; theme: string | null; left_handed: boolean | null; strum: string | null; footage: string | null };
  parts: Part[];
  shapes: { name: string; level: string | null; frets: string; fingers: string; own: boolean }[];
  strums: { name: string; steps: string; path: Path }[];
  findings: Finding[];
}

export interface Run {
  id: string;
  kind: string;
  words: string;
  state: "running" | "done" | "failed" | "cancelled";
  share: number;
  what: string;
  command: string;
  made: string[];
  result: unknown;
}

export interface Refused {
  status: number;
  what: string;
  fix: string;
  body: any;
}

/** The server. `T | Refused`: look with refused(). Nothing here throws; where nobody answers, status is 0. */
export interface Api {
  url(path: string): string; // of GET, for <img>, <video>, downloads
  get<T>(path: string): Promise<T | Refused>; // JSON as its value, other text as a string
  bytes(path: string): Promise<Response | Refused>; // not JSON; look at its status (202, 204)
  post<T>(path: string, body: unknown): Promise<T | Refused>;
}

/** The film as it plays. Times are those of frames. */
export interface Player {
  readonly time: number; // of the frame that is on screen: mediaTime, not currentTime
  readonly playing: boolean;
  rate: number; // 0.5, 0.75, 1
  loop: [number, number] | null;
  play(): Promise<void>;
  pause(): void;
  seek(time: number): Promise<void>; // to the middle of the frame on screen at `time`
  step(frames: number): Promise<void>;
  onFrame(told: (time: number) => void): () => void; // each frame that is shown; gives what ends it
  timeAt(moment: number): number; // of the film at a moment of performance.now(), also between two frames
}

/** A stretch or an instant (from === to) on the strip that is proposed and not yet taken. */
export interface Mark {
  from: number;
  to: number;
  words: string;
}

/** The page as its panels see it. */
export interface Page {
  readonly api: Api;
  readonly player: Player;
  readonly lesson: Lesson;
  readonly part: number | null; // the selected one
  select(part: number | null): void;
  onLesson(told: (lesson: Lesson) => void): void; // at once, and after each change
  onPart(told: (part: number | null) => void): void;
  open(panel: string): void; // brings the panel of that name to the front
  propose(marks: Mark[]): void; // in place of those before; [] takes them away
  onRun(told: (run: Run) => void): void;
  /** Saves edits; what the server refuses is said, and false. Meanwhile-changed files are settled in a dialog. */
  edit(what: string, edits: Edit[]): Promise<boolean>;
  /** POST with the lesson's base that answers as `edit` does: move, undo, restore. */
  change(path: string, body: object): Promise<boolean>;
  say(words: string, tone?: "good" | "bad"): void; // shown, and read aloud by screen readers
  /** Brings the panel of this name to the front. */
  open(panel: string): void;
  /** A key that works everywhere on the page but in text fields; listed in the help. `words`: "Tap a chord change".
   *  `key` as KeyboardEvent.key, letters small: "t", "Shift+t", "Ctrl+z", " ", "ArrowUp". Holding it down presses once. */
  key(key: string, words: string, pressed: () => void, released?: () => void): void;
}

/** A panel: a folder tab of the right side. Built once. Its fields carry the place in the file that they change as
 * data-path='["sections",2,"from"]', so that a finding leads to its field. */
export interface Panel {
  name: string; // on its tab: "Part"
  build(page: Page): HTMLElement;
}

export function refused(answer: unknown): answer is Refused {
  return typeof answer === "object" && answer !== null && "status" in answer && "what" in answer && "body" in answer;
}

/** An element with properties and children: el("button", {type: "button", onclick: f}, "Save"). Texts are texts, never HTML. */
export function el<K extends keyof HTMLElementTagNameMap>(
  tag: K, with_: Record<string, unknown> = {}, ...children: (Node | string | null)[]): HTMLElementTagNameMap[K] {
  const made = document.createElement(tag);
  for (const [key, value] of Object.entries(with_)) {
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value as EventListener);
    else if (key === "class") made.className = String(value);
    else if (key in made) (made as any)[key] = value;
    else if (value !== null && value !== undefined && value !== false) made.setAttribute(key, value === true ? "" : String(value));
  }
  for (const child of children) if (child !== null) made.append(child);
  return made;
}

/** 62.48 as "1:02.48"; `places` of the second. */
export function clock(seconds: number, places = 2): string {
  const sign = seconds < 0 ? "-" : "";
  const whole = Math.abs(seconds).toFixed(places);
  const minutes = Math.floor(Number(whole) / 60);
  const rest = (Number(whole) - 60 * minutes).toFixed(places).padStart(places ? places + 3 : 2, "0");
  return `${sign}${minutes}:${rest}`;
}
