import { button, count, group, labelled, offer, refill, span } from "./controls";
import { clock, Edit, el, Page, Panel, Run } from "./page";
import { runBox } from "./run_box";

// Has the computer listen to the film's sound, and shows what it would change before anything is taken.

interface Timing {
  from: number | null;
  to: number | null;
  pins: [string, number][];
}

interface Heard {
  part: number;
  name: string;
  words: string;
  doubt: string | number | boolean | null;
  before: Timing;
  after: Timing;
  edits: Edit[];
}

function timing({ from, to, pins }: Timing): string {
  return `${span(from, to)}${pins.length ? `, ${count(pins.length, "pin")}` : ""}`;
}

/** What the places in a result depend on: it counts for the parts that were there when it was made. */
function partsOf(page: Page): string {
  return JSON.stringify(page.lesson.parts.map(({ name, as, written }) => [name, as, written.bars]));
}

export const hearPanel: Panel = {
  name: "Hear",
  build(page) {
    const which = el("select");
    const anywhere = el("input", { type: "checkbox" });
    const list = el("ul", { class: "heard" });
    let heard: Heard[] = [];
    let taken = new Set<number>();
    let parts = "";

    const propose = (): void => page.propose(heard.filter(({ part }) => !taken.has(part)).flatMap(({ name, after }) => [
      ...(after.from === null ? [] : [{ from: after.from, to: after.to ?? after.from, words: name }]),
      ...after.pins.map(([bar, time]) => ({ from: time, to: time, words: `${name} ${bar}` }))]));
    const take = async (some: Heard[]): Promise<void> => {
      const what = some.length === 1 ? `Hear ${some[0].name}` : `Hear ${count(some.length, "part")}`;
      if (!(await page.edit(what, some.flatMap(({ edits }) => edits)))) return;
      some.forEach(({ part }) => taken.add(part));
      show();
    };
    const row = (each: Heard): HTMLElement => {
      const done = taken.has(each.part);
      const at = each.after.from ?? each.before.from;
      return el("li", { class: each.doubt ? "doubted" : "" }, el("strong", {}, each.name), each.doubt ? el("span", { class: "doubt" }, "in doubt") : null,
        el("p", {}, each.words),
        each.edits.length ? el("dl", {}, el("dt", {}, "Now"), el("dd", {}, timing(each.before)), el("dt", {}, "Heard"), el("dd", {}, timing(each.after))) : null,
        el("div", { class: "row" }, at === null ? null : button(`Look at ${clock(at)}`, () => void page.player.seek(at), { "data-key": `l${each.part}` }),
          !each.edits.length ? null : done ? el("span", { class: "quiet" }, "Taken") : button("Take", () => void take([each]), { "data-key": `t${each.part}`, "aria-label": `Take the times of ${each.name}` })));
    };
    const show = (): void => {
      const stale = heard.length > 0 && partsOf(page) !== parts;
      if (stale) heard = [];
      const open = heard.filter(({ part, edits }) => edits.length && !taken.has(part));
      const good = open.filter(({ doubt }) => !doubt);
      refill(list, stale ? el("li", {}, "The parts have changed since. Listen again.") : null, ...heard.map(row),
        good.length > 1 || (good.length && open.length > 1) ? el("li", {}, button(`Take all that are sure (${good.length})`, () => void take(good), { class: "main", "data-key": "all" })) : null);
      propose();
    };
    const came = (run: Run): void => {
      heard = ((run.result as { parts?: Heard[] } | null)?.parts ?? []);
      taken = new Set();
      parts = partsOf(page);
      show();
    };
    const box = runBox(page, ["listen"], came);
    const start = button("Listen", () => void box.start({ kind: "listen", part: which.value === "" ? null : Number(which.value), anywhere: anywhere.checked }), { class: "main" });
    const choose = (): void => offer(which, [["", "all parts"], ...page.lesson.parts.map(({ index, name }): [string, string] => [String(index), name])], page.part === null ? "" : String(page.part));
    page.onLesson(() => {
      choose();
      show();
    });
    page.onPart(choose);
    return el("div", { class: "stack" }, el("p", { class: "quiet" }, "Finds each chord change of the charts in the film's sound. Nothing is changed before you take it."),
      group("Listen to", labelled("Part", which), el("label", { class: "check" }, anywhere, "Look in the whole film, not only near the times it has"), el("div", { class: "row" }, start)),
      box.element, list);
  },
};
