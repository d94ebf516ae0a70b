import { button, group, labelled, offer } from "./controls";
import { clock, el, Page, Panel, refused, Run } from "./page";
import { runBox } from "./run_box";
import { sentence } from "./store";

// The film was cut again: what becomes of each cue, and the lesson for the new film.

interface Row {
  part: number | string | null;
  what: string;
  words: string;
  before: number | null;
  after: number | null;
}

interface Cut {
  rows: Row[];
  remarks: string[];
  lesson: string;
  film: string; // the new one, where it is in the folder
}

const most = 8 << 20; // bytes of an edit list

/** `make`: makes the lesson of it; null where the page does not know the cut any more. */
function table(page: Page, { rows, remarks, lesson, film }: Cut, make: (() => void) | null): HTMLElement {
  const body = rows.map(({ what, words, before, after }) =>
    el(
      "tr",
      { class: `cue-${what}` },
      el(
        "td",
        {},
        before === null
          ? null
          : el("img", { src: page.api.url(`still?time=${before}&width=120`), alt: `The old film at ${clock(before)}`, loading: "lazy" }),
        after === null || !film
          ? null
          : el("img", {
              src: page.api.url(`still?film=${encodeURIComponent(film)}&time=${after}&width=120`),
              alt: `The new film at ${clock(after)}`,
              loading: "lazy",
            }),
      ),
      el("td", {}, el("strong", {}, what), el("br"), words),
      el("td", {}, before === null ? "–" : clock(before)),
      el("td", {}, after === null ? "–" : clock(after)),
    ),
  );
  return el(
    "div",
    { class: "stack" },
    remarks.length ? el("ul", { class: "remarks" }, ...remarks.map((each) => el("li", {}, each))) : null,
    el(
      "div",
      { class: "scrolled", tabIndex: 0, role: "region", "aria-label": "What becomes of each cue" },
      el(
        "table",
        {},
        el("thead", {}, el("tr", {}, el("th", {}, "Picture"), el("th", {}, "What"), el("th", {}, "Was at"), el("th", {}, "Is at"))),
        el("tbody", {}, ...body),
      ),
    ),
    el(
      "div",
      { class: "row" },
      el(
        "span",
        {},
        lesson ? `The new lesson is ${lesson}.` : make ? "Nothing is written yet." : "Send the cut again to make the new lesson.",
      ),
      lesson
        ? button("Open it", () => void open(page, lesson), { class: "main" })
        : make && button("Make the new lesson", make, { class: "main" }),
    ),
  );
}

async function open(page: Page, name: string): Promise<void> {
  const answer = await page.api.post("open", { name });
  if (refused(answer)) page.say(sentence(answer), "bad");
}

/** Where a file is dropped or chosen; its text is read here and sent. */
function dropPlace(page: Page, came: (name: string, text: string) => void): HTMLElement {
  const input = el("input", { type: "file", accept: ".edl,.otio,.csv,text/plain,text/csv" });
  const place = el("div", { class: "drop" }, labelled("Edit list (.edl, .otio, .csv)", input), el("small", {}, "or drop it here"));
  const read = async (file: File | undefined): Promise<void> => {
    if (!file) return;
    if (file.size > most) return page.say("This file is too long for an edit list.", "bad");
    came(file.name, await file.text());
  };
  input.addEventListener("change", () => void read(input.files?.[0]));
  place.addEventListener("dragover", (event) => {
    event.preventDefault();
    place.classList.add("over");
  });
  place.addEventListener("dragleave", () => place.classList.remove("over"));
  place.addEventListener("drop", (event) => {
    event.preventDefault();
    place.classList.remove("over");
    void read(event.dataTransfer?.files[0]);
  });
  return place;
}

/** What is chosen, where it can still be. */
function kept(select: HTMLSelectElement, names: string[]): string {
  return names.includes(select.value) ? select.value : "";
}

export const cutPanel: Panel = {
  name: "New cut",
  build(page) {
    const film = el("select");
    const footage = el("select");
    let sent: Record<string, unknown> | null = null;
    let name = "";
    const box = runBox(page, ["cut"], (run: Run, into) => {
      const cut = run.result as Cut | null;
      const make = sent && (() => void box.start({ ...sent, take: true }, "cut"));
      into.replaceChildren(cut ? table(page, cut, make) : el("p", {}, "It gave no result."));
    });
    const send = (body: Record<string, unknown>): void => {
      sent = footage.value && body.name !== footage.value ? { ...body, footage: footage.value } : body;
      void box.start(sent, "cut");
    };
    const compare = button("Look what becomes of each cue", () => void (film.value && send({ name: film.value })), { class: "main" });
    const fill = async (): Promise<void> => {
      const folder = await page.api.get<{ films: string[]; cuts: string[] }>("folder");
      if (refused(folder)) return;
      const films = folder.films.filter((each) => each !== page.lesson.film.name);
      offer(
        film,
        [
          ["", films.length || folder.cuts.length ? "choose" : "nothing else is in the folder"],
          ...[...folder.cuts, ...films].map((each): [string, string] => [each, each]),
        ],
        kept(film, [...folder.cuts, ...films]),
      );
      offer(footage, [["", "not there yet"], ...films.map((each): [string, string] => [each, each])], kept(footage, films));
    };
    page.onLesson((lesson) => {
      if (name && name !== lesson.name) box.element.hidden = true; // its pictures are of the other film
      name = lesson.name;
      void fill();
    });
    film.addEventListener("focus", () => void (film.value === "" && fill()));
    return el(
      "div",
      { class: "stack" },
      el(
        "p",
        { class: "quiet" },
        "Was the film cut again? Say how, and every cue follows. The lesson on the desk stays as it is; a new one is made beside it.",
      ),
      group(
        "With an edit list of an editing program",
        labelled("The new film", footage, "In the lesson's folder; it may come later"),
        dropPlace(page, (name, text) => send({ name, text })),
      ),
      group(
        "With a file of the lesson's folder",
        labelled("The new film, or an edit list", film, "With a film, the cut is found by comparing the sound"),
        el("div", { class: "row" }, compare),
      ),
      box.element,
    );
  },
};
