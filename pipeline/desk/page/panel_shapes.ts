import { button, describe, labelled, newId, refill, told } from "./controls";
import { fretboard, fretsOf, textOf } from "./fretboard";
import { Edit, el, Page, Panel, refused } from "./page";
import { asSentence, sentence } from "./store";

// How each chord is fretted: one of the shapes that players take, or one of the author's own.

interface Shapes {
  names: boolean;
  what: string;
  fix: string;
  choices: { frets: string; fingers: string; words: string[]; stays: string[]; used: boolean; edits?: Edit[] }[];
}

interface Verdict {
  fine: boolean;
  what: string[];
  fingers: string;
  names: string[];
  edits?: Edit[];
}

function picture(page: Page, name: string, frets: string, fingers: string): HTMLImageElement {
  const source = page.api.url(
    `diagram?frets=${encodeURIComponent(frets)}&fingers=${encodeURIComponent(fingers)}&name=${encodeURIComponent(name)}`,
  );
  return el("img", { src: source, alt: "", loading: "lazy", class: "diagram" });
}

/** Names of the part's chords in the order they come, or of the whole lesson. */
function chordsOf(page: Page): string[] {
  const part = page.lesson.parts.find(({ index }) => index === page.part);
  const names = page.lesson.shapes.map(({ name }) => name);
  if (!part) return [...new Set(names)];
  const played = [...part.changes.map(({ chord }) => chord), ...part.show.filter(({ kind }) => kind === "chord").map(({ value }) => value)];
  const here = [...new Set(played)].filter((name) => names.includes(name));
  return here.length ? here : [...new Set(names)];
}

function ownShape(
  page: Page,
  taken: (edits: Edit[]) => Promise<void>,
): { element: HTMLElement; show(chord: string, frets: string, fingers: string): void } {
  const board = fretboard(() => {
    frets.value = textOf(board.frets);
    fingers.value = "";
    void judge();
  });
  const frets = el("input", { type: "text", size: 9, spellcheck: false, autocomplete: "off", class: "mono" });
  const fingers = el("input", { type: "text", size: 7, spellcheck: false, autocomplete: "off", class: "mono" });
  const verdict = told("verdict");
  verdict.id = newId();
  describe(frets, verdict);
  const take = button("Take this shape", () => void taken(edits), { class: "main" });
  let chord = "";
  let edits: Edit[] = [];
  let asked = 0;
  const judge = async (): Promise<void> => {
    const mine = ++asked;
    const query = new URLSearchParams({ chord, frets: frets.value, fingers: fingers.value });
    if (page.part !== null) query.set("part", String(page.part));
    const answer = await page.api.get<Verdict>(`verdict?${query}`);
    if (mine !== asked) return;
    take.disabled = refused(answer);
    if (refused(answer)) {
      verdict.className = "verdict problem";
      verdict.textContent = sentence(answer);
      return;
    }
    fingers.placeholder = answer.fingers;
    const shape = { frets: frets.value, ...(fingers.value || answer.fingers ? { fingers: fingers.value || answer.fingers } : {}) };
    edits = answer.edits ?? [{ path: ["shapes", chord], value: shape }];
    verdict.className = answer.fine ? "verdict good" : "verdict";
    const words = [...answer.what, ...(answer.names.length ? [`it is ${answer.names.join(" or ")}`] : [])];
    verdict.textContent = [...(answer.fine && !answer.what.length ? ["nothing is against it"] : []), ...words].map(asSentence).join(" ");
  };
  frets.addEventListener("input", () => {
    const read = fretsOf(frets.value);
    if (read.length === board.frets.length) board.show(read);
    void judge();
  });
  fingers.addEventListener("input", () => void judge());
  const element = el(
    "details",
    {},
    el("summary", {}, "A shape of your own"),
    el(
      "div",
      { class: "own" },
      board.element,
      el(
        "div",
        { class: "stack" },
        labelled("Frets", frets, "Low string first, x is not played"),
        labelled("Fingers", fingers, "1 to 4, T the thumb, - none"),
        verdict,
        take,
      ),
    ),
  );
  return {
    element,
    show(name, now, hand) {
      chord = name;
      const strings = page.lesson.shapes[0] ? fretsOf(page.lesson.shapes[0].frets).length : 6;
      frets.value = now || "x".repeat(strings);
      fingers.value = hand;
      board.show(fretsOf(frets.value));
      void judge();
    },
  };
}

export const shapesPanel: Panel = {
  name: "Shapes",
  build(page) {
    const list = el("div", { class: "cards" });
    const other = el("input", { type: "text", size: 8, autocomplete: "off", spellcheck: false });
    const title = el("h2");
    const why = el("p", { class: "quiet", role: "status" });
    const choices = el("div", { class: "cards choices" });
    let chord = "";
    const taken = async (edits: Edit[]): Promise<void> => {
      if (await page.edit(`Change the shape of ${chord}`, edits)) await choose(chord, true);
    };
    const own = ownShape(page, taken);
    const one = el("section", { class: "stack", hidden: true }, title, why, choices, own.element);

    const showChoices = ({ choices: all }: Shapes): void =>
      refill(
        choices,
        ...all.map(({ frets, fingers, words, used, edits }) =>
          el(
            "button",
            {
              type: "button",
              class: "card",
              "aria-pressed": String(used),
              "data-key": frets,
              onclick: () => taken(edits ?? [{ path: ["shapes", chord], value: { frets, fingers } }]),
            },
            picture(page, chord, frets, fingers),
            el("span", { class: "mono" }, frets),
            used ? el("strong", {}, "in the lesson") : null,
            el("small", {}, words.join(", ")),
          ),
        ),
      );
    const choose = async (name: string, fresh: boolean): Promise<void> => {
      chord = name;
      showList();
      if (!name) return;
      title.textContent = name;
      const answer = await page.api.get<Shapes>(
        `shapes?chord=${encodeURIComponent(name)}${page.part === null ? "" : `&part=${page.part}`}`,
      );
      if (chord !== name) return;
      one.hidden = false;
      if (refused(answer)) {
        why.textContent = sentence(answer);
        choices.replaceChildren();
        return;
      }
      why.textContent =
        answer.names === false && answer.what
          ? sentence(answer)
          : answer.choices.length
            ? ""
            : "No shape is known for it: make your own below.";
      showChoices(answer);
      const used = page.lesson.shapes.find((each) => each.name === name);
      if (fresh) own.show(name, used?.frets ?? answer.choices[0]?.frets ?? "", used?.fingers ?? answer.choices[0]?.fingers ?? "");
    };
    const showList = (): void =>
      refill(
        list,
        ...chordsOf(page).map((name) => {
          const shape = page.lesson.shapes.find((each) => each.name === name);
          return el(
            "button",
            {
              type: "button",
              class: "card",
              "data-key": name,
              "aria-pressed": String(name === chord),
              onclick: () => void choose(name, true),
            },
            shape?.frets ? picture(page, name, shape.frets, shape.fingers) : null,
            el("span", {}, name),
            shape?.own ? el("small", {}, "your own") : null,
          );
        }),
      );
    const ask = (): void => {
      if (other.value.trim()) void choose(other.value.trim(), true);
    };
    other.addEventListener("keydown", ({ key }) => {
      if (key === "Enter") ask();
    });
    page.onLesson(() => void (chord ? choose(chord, false) : showList()));
    page.onPart(() => showList());
    return el(
      "div",
      { class: "stack" },
      el("p", { class: "quiet" }, "Press a chord to choose its shape."),
      list,
      el("div", { class: "row" }, labelled("Another chord", other), button("Show its shapes", ask)),
      one,
      el("small", {}, "A shape that hurts is the wrong shape."),
    );
  },
};
