import { button, Choices, count, group, offer, refill, span, stamp } from "./controls";
import { Edit, el, Lesson, Page, Panel, Part, Run } from "./page";
import { runsBefore } from "./run_box";
import { focusField, numberField, Place, saved, textField } from "./saved_fields";

// What holds for the whole lesson, its parts, and what is left to do.

const corners = ["top-left", "top-right", "bottom-left", "bottom-right"];
export const placements: Choices = [
  ...corners.map((each): [string, string] => [each, each.replace("-", " ")]),
  ...corners.map((each): [string, string] => [`compact-${each}`, `${each.replace("-", " ")}, all together`]),
];
const instruments = [
  "guitar",
  "short-scale guitar",
  "12-string guitar",
  "7-string guitar",
  "baritone guitar",
  "bass",
  "ukulele",
  "mandolin",
  "banjo",
];

type Key = keyof Lesson["lesson"];

/** The strums that a part or the lesson can have. */
export function strumChoices(page: Page, none: string): Choices {
  return [["", none], ...page.lesson.strums.map(({ name }): [string, string] => [name, name]), ["none", "no strum"]];
}

interface Step {
  words: string;
  state: string;
  done: boolean;
  action: string;
  act(): void;
}

function steps(page: Page, film: Run | null): Step[] {
  const parts = page.lesson.parts;
  const having = parts.filter(({ as, written, show }) => as !== null || written.bars || show.some(({ kind }) => kind === "chord"));
  const untimed = parts.filter(({ from }) => from === null);
  const errors = page.lesson.findings.filter(({ severity }) => severity === "error").length;
  const warnings = page.lesson.findings.filter(({ severity }) => severity === "warning").length;
  const first = (some: Part[], panel: string) => () => {
    if (page.part === null && some.length) page.select(some[0].index);
    page.open(panel);
    if (panel === "Part") focusField(["sections", page.part ?? 0, "bars"]);
  };
  return [
    {
      words: "Name the parts",
      state: parts.length ? count(parts.length, "part") : "none yet",
      done: parts.length > 0,
      action: "Add a part",
      act: () => void addPart(page),
    },
    {
      words: "Type the chords",
      state: having.length ? `${having.length} of ${count(parts.length, "part")} have chords` : "none yet",
      done: having.length > 0,
      action: "Type them",
      act: first(
        parts.filter((each) => !having.includes(each)),
        "Part",
      ),
    },
    {
      words: "Say when: tap along, or have them heard",
      state: !parts.length ? "" : untimed.length ? `${count(untimed.length, "part")} without a time` : "all have a time",
      done: parts.length > 0 && !untimed.length,
      action: "Tap along",
      act: first(untimed, "Tap"),
    },
    {
      words: "Fix what the check finds",
      state:
        [errors && count(errors, "error"), warnings && count(warnings, "warning")].filter((each) => each).join(", ") ||
        "No problems found.",
      done: errors === 0,
      action: errors || warnings ? "Show them" : "Full check",
      act: () => page.open(errors || warnings ? "Findings" : "Out"),
    },
    {
      words: "Make the film",
      state: film ? (film.made[0] ?? "made") : "not made from here yet",
      done: film !== null,
      action: "Make it",
      act: () => page.open("Out"),
    },
  ];
}

function stepList(page: Page): HTMLElement {
  const list = el("ol", { class: "steps" });
  const left = el("span", { class: "quiet" });
  const box = el("details", { open: true }, el("summary", {}, "What is left to do ", left), list);
  let film: Run | null = null;
  let seen = false;
  const show = (): void => {
    const all = steps(page, film);
    const open = all.filter(({ done }) => !done).length;
    left.textContent = open ? `${open} of ${all.length} left` : "nothing";
    if (!seen) box.open = all.slice(0, 3).some(({ done }) => !done);
    seen = true;
    refill(
      list,
      ...all.map(({ words, state, done, action, act }) =>
        el(
          "li",
          { class: done ? "done" : "" },
          el("span", { class: "mark", role: "img", "aria-label": done ? "Done:" : "To do:" }, done ? "✓" : ""),
          el("span", {}, words, el("br"), el("small", {}, state)),
          button(action, act, { "data-key": words }),
        ),
      ),
    );
  };
  const made = (run: Run): void => {
    if (run.kind !== "render" || run.state !== "done") return;
    film = run;
    show();
  };
  page.onLesson(show);
  page.onRun(made);
  void runsBefore(page).then((runs) => runs.forEach(made));
  return box;
}

function lessonFields(page: Page): HTMLElement {
  const place = (key: Key | "title", label: string, hint = ""): Place => ({
    label,
    hint,
    words: `Change ${label.toLowerCase()}`,
    path: () => [key],
    value: () => (key === "title" ? page.lesson.title : page.lesson.lesson[key]),
  });
  const choice = (key: Key, label: string, choices: () => Choices, hint = "") => {
    const select = el("select");
    const field = saved(page, select, place(key, label, hint));
    return {
      ...field,
      show: () => {
        offer(select, choices(), String(page.lesson.lesson[key] ?? ""));
        field.show();
      },
    };
  };
  const left = el("input", {
    type: "checkbox",
    onchange: () =>
      void page.edit("Change left-handed", [
        left.checked ? { path: ["left_handed"], value: true } : { path: ["left_handed"], remove: true },
      ]),
  });
  left.dataset.path = '["left_handed"]';
  const fields = [
    textField(page, place("title", "Title")),
    choice("names", "Names of notes", () => [
      ["", "english: B, Bb, F#"],
      ["german", "german: H, B, Fis"],
      ["latin", "latin: Si, Sib, Fa#"],
    ]),
    textField(page, place("key", "Key", "The key that sounds: E, F#m")),
    numberField(page, place("capo", "Capo", "The fret; empty for none"), 0, 24),
    textField(page, place("meter", "Meter", "4/4, 6/8, 3+2/8")),
    numberField(page, place("tempo", "Tempo", "Beats a minute"), 1, 1000, "any"),
    choice("instrument", "Instrument", () => [
      ["", "not said: guitar"],
      ...instruments.map((each): [string, string] => [each, each]),
    ]),
    choice("strum", "Strum", () => strumChoices(page, "not said"), "Of parts that name none"),
    choice("placement", "Place of the cards", () => [["", "not said"], ["auto", "auto"], ...placements]),
    choice("theme", "Cards", () => [
      ["", "light or dark, by the film"],
      ["light_card", "light"],
      ["dark_card", "dark"],
    ]),
    textField(page, place("footage", "Film", "Its name, beside the lesson")),
  ];
  page.onLesson(() => {
    fields.forEach((each) => each.show());
    left.checked = page.lesson.lesson.left_handed === true;
  });
  const [title, ...rest] = fields.map(({ element }) => element);
  title.classList.add("wide");
  return el(
    "div",
    { class: "fields" },
    title,
    ...rest,
    el("div", { class: "field" }, el("label", { class: "check" }, left, "Left-handed diagrams")),
  );
}

function newName(page: Page): string {
  const names = new Set(page.lesson.parts.map(({ name }) => name));
  let number = page.lesson.parts.length + 1;
  while (names.has(`Part ${number}`)) ++number;
  return `Part ${number}`;
}

/** A part that begins at the play head, in its place among the others; or one that is still to be heard. */
async function addPart(page: Page, timed = true): Promise<void> {
  const now = page.player.time;
  const parts = page.lesson.parts;
  const later = timed ? parts.findIndex(({ from }) => from !== null && from > now) : page.part === null ? -1 : page.part + 1;
  const at = later < 0 ? parts.length : later;
  const name = newName(page);
  const value = timed ? { name, from: stamp(now) } : { name, bars: "N.C." };
  if (!(await page.edit(`Add ${name}`, [{ path: ["sections", at], insert: value }]))) return;
  page.select(at);
  page.open("Part");
  focusField(["sections", at, "name"]); // "Part 3" is rarely its name
}

/** The name as a field in place of `row`; `again` draws the list. Parts that are as this one follow it. */
function rename(page: Page, part: Part, row: HTMLElement, again: () => void): void {
  const name = el("input", { type: "text", defaultValue: part.name, "aria-label": `New name of ${part.name}`, "data-key": "rename" });
  let done = false;
  const leave = (): void => {
    if (done) return;
    done = true;
    const edits: Edit[] = [{ path: ["sections", part.index, "name"], value: name.value }];
    for (const each of page.lesson.parts)
      if (each.as === part.name) edits.push({ path: ["sections", each.index, "as"], value: name.value });
    if (name.value.trim() && name.value !== part.name) void page.edit(`Rename ${part.name}`, edits);
    again();
  };
  name.addEventListener("change", leave);
  name.addEventListener("blur", leave);
  name.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" && event.key !== "Enter") return;
    event.preventDefault(); // or the button that gets the focus is pressed by it
    if (event.key === "Escape") name.value = part.name;
    leave();
  });
  row.replaceChildren(name);
  name.select();
}

function partRow(page: Page, part: Part, again: () => void): HTMLElement[] {
  const chosen = page.part === part.index;
  const last = page.lesson.parts.length - 1;
  const move = (to: number) => async () => {
    if (await page.edit(`Move ${part.name} in the list`, [{ path: ["sections", part.index], move: to }])) page.select(to);
  };
  const row = el(
    "button",
    {
      type: "button",
      class: "part",
      "data-key": `part${part.index}`,
      "aria-current": chosen ? "true" : null,
      onclick: () => page.select(part.index),
    },
    el("span", {}, part.name),
    el("small", { class: part.from === null ? "untimed" : "" }, span(part.from, part.to)),
  );
  if (!chosen) return [row];
  const tools: HTMLElement = el(
    "div",
    { class: "row" },
    button("Open", () => page.open("Part"), { "data-key": "open", "aria-label": `Open ${part.name}` }),
    button("Rename", () => rename(page, part, tools, again), { "data-key": "rename", "aria-label": `Rename ${part.name}` }),
    button("Up", move(part.index - 1), {
      disabled: part.index === 0,
      "data-key": "up",
      "aria-label": `Up: ${part.name} earlier in the list`,
    }),
    button("Down", move(part.index + 1), {
      disabled: part.index === last,
      "data-key": "down",
      "aria-label": `Down: ${part.name} later in the list`,
    }),
    button(
      "Delete",
      async () => {
        if (await page.edit(`Delete ${part.name}`, [{ path: ["sections", part.index], remove: true }]))
          page.say(`${part.name} is deleted. Undo brings it back.`);
      },
      { disabled: last === 0, "data-key": "delete", "aria-label": `Delete ${part.name}` },
    ),
  );
  return [row, tools];
}

function partList(page: Page): HTMLElement {
  const list = el("ol", { class: "parts" });
  const show = (): void => refill(list, ...page.lesson.parts.map((part) => el("li", {}, ...partRow(page, part, show))));
  page.onLesson(show);
  page.onPart(show);
  return group(
    "Parts",
    list,
    el(
      "div",
      { class: "row" },
      button("Add a part here", () => void addPart(page), { title: "It begins where the film stands" }),
      button("Add one without a time", () => void addPart(page, false), { title: "Type its chords, and have its time heard or tapped" }),
    ),
  );
}

export const lessonPanel: Panel = {
  name: "Lesson",
  build: (page) => el("div", { class: "stack" }, stepList(page), partList(page), group("The whole lesson", lessonFields(page))),
};
