import { button, count, describe, newId, told } from "./controls";
import { el, Page, Part, refused } from "./page";
import { sentence } from "./store";
import { watch, writing } from "./unsaved";

// The bars of a part as text: asked as they are typed, mistakes marked under the letters, drawn below as on the sheet.

interface Mistake {
  at: number;
  length: number;
  severity: string;
  what: string;
  fix: string;
}

interface Chart {
  mistakes: Mistake[];
  bars: { number: number; chords: { name: string; beats: number; held: boolean }[]; simile: boolean }[];
  picture: string;
}

const pause = 120; // ms without a letter before the server is asked

/** `text` with marks where something is wrong; what overlaps is marked once. */
function marked(text: string, mistakes: Mistake[]): (Node | string)[] {
  const pieces: (Node | string)[] = [];
  let done = 0;
  for (const { at, length, severity } of [...mistakes].sort((a, b) => a.at - b.at)) {
    const from = Math.max(at, done);
    const to = Math.max(at + length, from + (at >= done ? 1 : 0));
    if (to <= from) continue;
    pieces.push(text.slice(done, from), el("mark", { class: severity }, text.slice(from, to) || " "));
    done = to;
  }
  return [...pieces, text.slice(done), "\n"];
}

/** The bars in words, for who does not see the picture. */
function inWords({ bars }: Chart): string {
  return bars
    .map(({ number, chords }) => `Bar ${number}: ${chords.map(({ name, beats }) => `${name || "no chord"} ${beats}`).join(", ")}`)
    .join(". ");
}

/** The value that the file has for `text`: several lines are a list. */
export function chartValue(text: string): unknown {
  const lines = text
    .split("\n")
    .map((line) => line.trim())
    .filter((line) => line);
  return lines.length > 1 ? lines : (lines[0] ?? "");
}

function same(a: string, b: string): boolean {
  return JSON.stringify(chartValue(a)) === JSON.stringify(chartValue(b));
}

export function chartField(page: Page): HTMLElement {
  const input = el("textarea", { spellcheck: false, autocomplete: "off", rows: 2, id: newId(), autocapitalize: "off" });
  const under = el("pre", { "aria-hidden": "true" });
  const list = el("ul", { class: "mistakes", id: newId() });
  const read = told("unseen");
  const drawn = el("img", { class: "bars", alt: "" });
  const sheet = el(
    "div",
    { class: "scrolled", tabIndex: 0, role: "region", "aria-label": "The bars as on the sheet", hidden: true },
    drawn,
  );
  const state = el("small", { class: "quiet" });
  const hint = el(
    "small",
    { id: newId() },
    "A bar ends with |. / is one more beat of a chord, % is the bar before once more. Repeats: |: C | G :| x2. Saved when you leave it, or with Ctrl+Enter.",
  );
  describe(input, list);
  describe(input, hint);
  let part: Part | null = null;
  let last = ""; // as the file has it
  let sent: string | null = null; // on its way to the file
  let asked = 0;
  let waiting = 0;
  let isSaved = false; // here, since the part was chosen

  const goTo =
    ({ at, length }: Mistake) =>
    (): void => {
      input.focus();
      input.setSelectionRange(at, at + length);
    };
  const showMistakes = (text: string, mistakes: Mistake[]): void => {
    under.replaceChildren(...marked(text, mistakes));
    list.replaceChildren(
      ...mistakes.map((each) => el("li", { class: each.severity }, button(sentence(each), goTo(each), { class: "plain" }))),
    );
    const words = mistakes.length ? `${count(mistakes.length, "mistake")}: ${sentence(mistakes[0])}` : "";
    if (read.textContent !== words) read.textContent = words;
    if (mistakes.some(({ severity }) => severity === "error")) input.setAttribute("aria-invalid", "true");
    else input.removeAttribute("aria-invalid");
  };
  const ask = async (): Promise<void> => {
    if (!part) return;
    const text = input.value;
    const mine = ++asked;
    const source = text || part.as === null ? text : (page.lesson.parts.find(({ name }) => name === part?.as)?.written.bars ?? "");
    if (!source.trim()) {
      showMistakes(text, []);
      sheet.hidden = true;
      return;
    }
    const chart = await page.api.post<Chart>("chart", { part: part.index, bars: source, meter: part.meter });
    if (mine !== asked || input.value !== text) return;
    if (refused(chart)) {
      state.textContent = sentence(chart);
      return;
    }
    showMistakes(text, text ? chart.mistakes : []);
    sayState();
    sheet.hidden = !chart.picture;
    if (chart.picture) drawn.src = chart.picture;
    drawn.alt = inWords(chart);
  };
  /** Of saved bars: that they are, and whether they are right, which may be known before or after. */
  const sayState = (): void => {
    if (!isSaved) return;
    state.textContent = input.hasAttribute("aria-invalid") ? "Saved with mistakes: the film shows what it had before" : "Saved";
  };
  const changed = (): void => {
    isSaved = false;
    state.textContent = input.value === last ? "" : "Not saved yet";
    under.replaceChildren(input.value, "\n");
    clearTimeout(waiting);
    waiting = window.setTimeout(() => void ask(), pause);
  };
  const save = async (): Promise<void> => {
    const text = input.value;
    if (!part || text === last || text === sent) return;
    const path = ["sections", part.index, "bars"];
    const value = chartValue(text);
    sent = text;
    const saved = await page.edit(`Change the bars of ${part.name}`, [value === "" ? { path, remove: true } : { path, value }]);
    sent = null;
    if (!saved || input.value !== text) return;
    last = text;
    isSaved = true;
    sayState();
  };
  const show = (): void => {
    const before = part;
    part = page.lesson.parts.find(({ index }) => index === page.part) ?? null;
    const now = part?.written.bars ?? "";
    const other = before?.index !== part?.index || before?.name !== part?.name;
    if (other && before && input.value !== last && input.value !== sent)
      page.say(`Not saved, bars of ${before.name}: ${input.value}`, "bad");
    input.dataset.path = JSON.stringify(["sections", part?.index ?? 0, "bars"]);
    input.placeholder = part?.as ? `as ${part.as}` : "C | G/B | Am / F / | %";
    if (!other && input.value !== last) return;
    if (other || !same(input.value, now)) {
      isSaved = false; // another part, or taken back
      state.textContent = "";
      input.value = now;
    }
    last = input.value;
    under.replaceChildren(input.value, "\n");
    void ask();
  };
  input.addEventListener("input", changed);
  input.addEventListener("blur", () => writing(save()));
  watch(() => part !== null && input.value !== last);
  input.addEventListener("keydown", (event) => {
    if (event.key === "Enter" && (event.ctrlKey || event.metaKey)) {
      event.preventDefault();
      writing(save());
    }
  });
  page.onLesson(show);
  page.onPart(show);
  const head = el("div", { class: "row head" }, el("label", { htmlFor: input.id }, "Bars"), state);
  return el("div", { class: "field chart" }, head, el("div", { class: "typed" }, under, input), list, read, sheet, hint);
}
