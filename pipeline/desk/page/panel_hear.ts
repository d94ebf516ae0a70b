import { button, count, group, labelled, offer, refill, span } from "./controls";
import { clock, Edit, el, Page, Panel, Run } from "./page";
import { runBox } from "./run_box";

// Has the computer listen to the film's sound, and shows what it would change before anything is taken.

interface Timing {
  from: number | null;
  to: number | null;
  pins: [string, number, number?][]; // the third: where the playing goes on after a pause
}

interface Heard {
  part: number | null; // null: a part that is proposed
  name: string;
  words: string;
  doubt: string; // empty: it is sure
  before: Timing | null;
  after: Timing;
  with?: number[]; // parts that are taken along
  edits: Edit[];
}

interface Result {
  digest: string; // of the lesson that was heard
  parts: Heard[];
  remarks: string[];
  edits: Edit[]; // take all that is sure
}

const nothing: Result = { digest: "", parts: [], remarks: [], edits: [] };

function timing({ from, to, pins }: Timing): string {
  return `${span(from, to)}${pins.length ? `, ${count(pins.length, "pin")}` : ""}`;
}

/** What the places in a result depend on: it counts for the parts that were there when it began. */
function partsOf(page: Page): string {
  return JSON.stringify(page.lesson.parts.map(({ name, as, written }) => [name, as, written.bars]));
}

function marks({ parts }: Result, taken: Set<number | null>): { from: number; to: number; words: string }[] {
  return parts
    .filter(({ part, edits }) => !taken.has(part) && (part === null || edits.length))
    .flatMap(({ name, after: { from, to, pins } }) => [
      ...(from === null ? [] : [{ from, to: to ?? from, words: name }]),
      ...pins.map(([bar, time, goesOn]) => ({ from: time, to: goesOn ?? time, words: bar })),
    ]);
}

function difference({ before, after }: Heard): HTMLElement {
  const now = before ? [el("dt", {}, "Now"), el("dd", {}, timing(before))] : [];
  return el("dl", {}, ...now, el("dt", {}, "Heard"), el("dd", {}, timing(after)));
}

export const hearPanel: Panel = {
  name: "Hear",
  build(page) {
    const which = el("select");
    const anywhere = el("input", { type: "checkbox" });
    const list = el("ul", { class: "heard" });
    let result = nothing;
    let taken = new Set<number | null>();
    let begun = { id: "", parts: "" };
    let note = "";
    let taking = false;

    const take = async (words: string, edits: Edit[], parts: (number | null)[]): Promise<void> => {
      taking = true; // what it changes does not make the result old
      const done = await page.edit(words, edits);
      taking = false;
      if (!done) return;
      parts.forEach((part) => taken.add(part));
      begun.parts = partsOf(page);
      show();
    };
    const row = (each: Heard): HTMLElement => {
      const { part, name, words, doubt, after, before, edits } = each;
      const along = (each.with ?? []).map((index) => page.lesson.parts[index]?.name ?? "");
      const at = after.from ?? before?.from ?? null;
      const press = (): void => void take(`Hear ${name}`, edits, [part, ...(each.with ?? [])]);
      return el(
        "li",
        { class: doubt ? "doubted" : "" },
        el("div", { class: "row" }, el("strong", {}, name), doubt ? el("span", { class: "doubt" }, `in doubt: ${doubt}`) : null),
        words ? el("p", {}, words) : null,
        edits.length || part === null ? difference(each) : null,
        along.length ? el("p", {}, `Taken along: ${along.join(", ")}`) : null,
        el(
          "div",
          { class: "row" },
          at === null ? null : button(`Look at ${clock(at)}`, () => void page.player.seek(at), { "data-key": `l${part}` }),
          !edits.length ? null : button("Take", press, { "data-key": `t${part}`, "aria-label": `Take the times of ${name}` }),
          taken.has(part) ? el("span", { class: "quiet" }, "Taken") : null,
        ),
      );
    };
    const takeAll = (): HTMLElement | null => {
      const sure = result.parts.filter(({ doubt }) => !doubt).map(({ part }) => part);
      if (!result.edits.length || sure.every((part) => taken.has(part))) return null;
      const proposed = result.parts.some(({ part }) => part === null);
      const press = (): void => void take(proposed ? "Take the parts that were heard" : "Hear all parts", result.edits, sure);
      return el("li", {}, button(proposed ? "Take these parts" : "Take all that are sure", press, { class: "main", "data-key": "all" }));
    };
    const show = (): void => {
      if (!taking && result !== nothing && partsOf(page) !== begun.parts) {
        result = nothing;
        note = "The parts have changed since. Listen again.";
      }
      const remarks = [note, ...result.remarks].filter((each) => each).map((each) => el("li", { class: "remark" }, each));
      refill(list, ...remarks, takeAll(), ...result.parts.map(row));
      page.propose(marks(result, taken));
    };
    const came = (run: Run, _: HTMLElement, before: boolean): void => {
      const old = before && (run.result as Result | null)?.digest !== page.lesson.digest;
      result = old ? nothing : ((run.result as Result | null) ?? nothing);
      note = old ? "This was heard before the page was opened. Listen again to take it." : "";
      taken = new Set();
      show();
    };
    page.onRun(({ id, kind }) => {
      if ((kind === "listen" || kind === "start") && id !== begun.id) begun = { id, parts: partsOf(page) };
    });
    const box = runBox(page, ["listen", "start"], came);
    const listen = (): void =>
      void box.start({ kind: "listen", part: which.value === "" ? null : Number(which.value), anywhere: anywhere.checked });
    const find = group(
      "A film of whose parts nothing is written",
      el("p", { class: "quiet" }, "Finds in the sound where somebody talks and where is played, and the tempo."),
      el(
        "div",
        { class: "row" },
        button("Find the parts", () => void box.start({ kind: "start" })),
      ),
    );
    const choose = (): void =>
      offer(
        which,
        [["", "all parts"], ...page.lesson.parts.map(({ index, name }): [string, string] => [String(index), name])],
        page.part === null ? "" : String(page.part),
      );
    page.onLesson(({ parts }) => {
      find.hidden = parts.some(({ as, written, show }) => as !== null || written.bars || show.length);
      choose();
      if (result !== nothing) show();
    });
    page.onPart(choose);
    return el(
      "div",
      { class: "stack" },
      el("p", { class: "quiet" }, "Finds each chord change of the charts in the film's sound. Nothing is changed before you take it."),
      group(
        "Listen to",
        labelled("Part", which),
        el("label", { class: "check" }, anywhere, "Look in the whole film, not only near the times it has"),
        el("div", { class: "row" }, button("Listen", listen, { class: "main" })),
      ),
      find,
      box.element,
      list,
    );
  },
};
