import { chartField } from "./chart_field";
import { button, Choices, labelled, offer, refill, stamp } from "./controls";
import { clock, Edit, el, Page, Panel, Part, Path } from "./page";
import { placements, strumChoices } from "./panel_lesson";
import { editIfRight, numberField, Place, saved, Saved, textField } from "./saved_fields";
import { timeButtons, timeField } from "./time_field";
import { strumList } from "./strum_list";

// One part: its times, its bars, its pins and single cues.

type Written = Part["written"];

function current(page: Page): Part | null {
  return page.lesson.parts.find(({ index }) => index === page.part) ?? null;
}

function fieldsOfPart(page: Page): Saved[] {
  const place = (key: keyof Written | "name" | "as", label: string, more: Partial<Place> = {}): Place => ({
    label,
    words: `Change ${label.toLowerCase()}`,
    path: () => ["sections", page.part ?? 0, key],
    value: () => {
      const part = current(page);
      return !part ? null : key === "name" || key === "as" ? part[key] : part.written[key];
    },
    of: () => current(page)?.name ?? "",
    ...more,
  });
  const held = (what: (part: Part) => unknown) => (): string => {
    const part = current(page);
    return part ? String(what(part) ?? "") : "";
  };
  const time = (at: (part: Part) => number | null) => (): string => {
    const part = current(page);
    const now = part && at(part);
    return now === null ? "no time yet" : clock(now);
  };
  const choice = (key: keyof Written | "as", label: string, choices: () => Choices): Saved => {
    const select = el("select");
    const field = saved(page, select, place(key, label));
    return {
      ...field,
      show: () => {
        offer(select, choices(), String(place(key, label).value() ?? ""));
        field.show();
      },
    };
  };
  return [
    textField(page, place("name", "Name")),
    timeField(page, place("from", "Begins", { holds: time(({ from }) => from) }), () => current(page)?.from ?? null),
    timeField(page, place("to", "Ends", { holds: time(({ to }) => to) }), () => current(page)?.to ?? null),
    choice("as", "Plays the same as", () => [
      ["", "nothing else"],
      ...page.lesson.parts.filter((each) => each.index !== page.part && each.as === null).map(({ name }): [string, string] => [name, name]),
    ]),
    numberField(page, place("tempo", "Tempo", { holds: held(({ tempo }) => tempo) }), 1, 1000, "any"),
    textField(page, place("meter", "Meter", { holds: held(({ meter }) => meter) })),
    numberField(page, place("count_in", "Bars counted in", { holds: () => "0" }), 0, 8),
    choice("strum", "Strum", () => strumChoices(page, `as the lesson has it${current(page)?.strum ? `: ${current(page)?.strum}` : ""}`)),
    choice("placement", "Place of the cards", () => [["", "as the lesson has it"], ["auto", "auto"], ...placements]),
    saved(page, el("textarea", { rows: 2 }), place("text", "Text on screen", { hint: "While the part runs" })),
  ];
}

/** Puts `value` into the list at `path` of the file, where something at `time` belongs. `there`: what it has. */
function insertion(path: Path, there: { index: number; time: number }[], time: number, value: unknown): Edit {
  if (!there.length) return { path, value: [value] };
  const later = there.find((each) => each.time > time);
  return { path: [...path, later ? later.index : there[there.length - 1].index + 1], insert: value };
}

function pinRow(page: Page, part: Part, { index, bar, time, goes_on }: Part["pins"][0]): HTMLElement {
  const path = ["sections", part.index, "pins"];
  const pin = (): Part["pins"][0] | undefined => current(page)?.pins.find((each) => each.index === index);
  const now = (): number | null => pin()?.time ?? null;
  const skips = goes_on && goes_on.bar !== bar ? `${bar} to ${goes_on.bar}` : bar;
  const pauses = goes_on !== null && goes_on.time > time;
  const pause = (): void =>
    void editIfRight(page, pauses ? "Take out a pause" : `Goes on here with ${bar}`, [
      { path: [...path, index, 1], value: pauses ? stamp(time) : `${stamp(time)} to ${stamp(page.player.time)}` },
    ]);
  const remove = (): void => void page.edit("Delete a pin", [{ path: part.pins.length > 1 ? [...path, index] : path, remove: true }]);
  return el(
    "li",
    { class: "row" },
    seekButton(page, `${skips} at`, time, `pin${index}`),
    ...timeButtons(
      page,
      `Pin ${bar}`,
      () => [...path, index, 1],
      () => true,
      now,
      `pin${index}`,
    ),
    ...(pauses
      ? [
          seekButton(page, "goes on at", goes_on.time, `pin${index}on`),
          ...timeButtons(
            page,
            `Where it goes on at ${goes_on.bar}`,
            () => [...path, index, 1, "to"],
            () => true,
            () => pin()?.goes_on?.time ?? null,
            `pin${index}on`,
          ),
        ]
      : []),
    button(pauses ? "No pause" : "Goes on here", pause, {
      "aria-label": pauses ? `No pause at pin ${bar}` : `The playing stops at pin ${bar} and goes on here`,
      title: pauses ? "The playing does not stop at this pin" : "The playing stops at this pin, and goes on where the film stands",
      "data-key": `pin${index}p`,
    }),
    button("Delete", remove, { "aria-label": `Delete pin ${bar}`, "data-key": `pin${index}x` }),
  );
}

function pins(page: Page): HTMLElement {
  const list = el("ul", { class: "rows" });
  const bar = el("input", { type: "text", size: 5, placeholder: "1.1" });
  const add = (): void => {
    const part = current(page);
    const place = bar.value.trim();
    if (!part || !place) return bar.focus();
    const time = page.player.time;
    const edit = insertion(["sections", part.index, "pins"], part.pins, time, [place, stamp(time)]);
    void editIfRight(page, `Pin ${place} here`, [edit]).then((done) => {
      if (done) bar.value = "";
    });
  };
  bar.addEventListener("keydown", ({ key }) => {
    if (key === "Enter") add();
  });
  const show = (): void => {
    const part = current(page);
    if (part) refill(list, ...part.pins.map((each) => pinRow(page, part, each)));
  };
  page.onLesson(show);
  page.onPart(show);
  return el(
    "details",
    {},
    el("summary", {}, "Pins: bars held to times"),
    list,
    el("div", { class: "row" }, labelled("Bar and beat", bar), button("Pin it here", add, { title: "Where the film stands" })),
  );
}

/** A time in a row: pressed, it is shown in the film. */
function seekButton(page: Page, words: string, time: number, key: string): HTMLButtonElement {
  return button(`${words} ${clock(time)}`, () => void page.player.seek(time), {
    class: "plain",
    title: "Show in the film",
    "data-key": key,
  });
}

function cueRow(page: Page, part: Part, { index, kind, value, from, to, ends }: Part["show"][0]): HTMLElement {
  const path = ["sections", part.index, "show", index];
  const what = `${kind} ${value}`;
  const key = `cue${index}`;
  const now = (): Part["show"][0] | undefined => current(page)?.show.find((each) => each.index === index);
  const words = el("input", { type: "text", defaultValue: value, "aria-label": `${kind} of the cue at ${clock(from)}`, "data-key": key });
  words.addEventListener("change", () => void editIfRight(page, `Change ${what}`, [{ path: [...path, kind], value: words.value }]));
  words.dataset.path = JSON.stringify([...path, kind]);
  const remove = (): void => void page.edit(`Delete ${what}`, [{ path, remove: true }]);
  const end = (): void => void page.edit(`End ${what} here`, [{ path: [...path, "to"], value: stamp(page.player.time) }]);
  const written = (): boolean => true;
  const fromButtons = timeButtons(
    page,
    what,
    () => [...path, "from"],
    written,
    () => now()?.from ?? null,
    `${key}f`,
  );
  const toButtons = timeButtons(
    page,
    `${what} ends`,
    () => [...path, "to"],
    written,
    () => now()?.to ?? null,
    `${key}t`,
  );
  return el(
    "li",
    { class: "cue" },
    el(
      "div",
      { class: "row" },
      el("small", {}, kind),
      words,
      button("Delete", remove, { "aria-label": `Delete ${what}`, "data-key": `${key}x` }),
    ),
    el(
      "div",
      { class: "row" },
      seekButton(page, "from", from, `${key}s`),
      ...fromButtons,
      ends ? null : button("End here", end, { "aria-label": `End here: ${what}`, "data-key": `${key}e` }),
    ),
    ends && to !== null ? el("div", { class: "row" }, seekButton(page, "to", to, `${key}e`), ...toButtons) : null,
  );
}

/** Chords, texts and strums that are shown alone, for a talk. */
function cues(page: Page): HTMLElement {
  const list = el("ul", { class: "rows" });
  const kind = el("select", {}, ...["chord", "text", "strum"].map((each) => el("option", { value: each }, each)));
  const words = el("input", { type: "text" });
  const add = (): void => {
    const part = current(page);
    if (!part || !words.value.trim()) return words.focus();
    const time = page.player.time;
    const cue = { [kind.value]: words.value.trim(), from: stamp(time) };
    const there = part.show.map(({ index, from }) => ({ index, time: from }));
    const edit = insertion(["sections", part.index, "show"], there, time, cue);
    void editIfRight(page, `Show ${words.value.trim()} here`, [edit]).then((done) => {
      if (done) words.value = "";
    });
  };
  words.addEventListener("keydown", ({ key }) => {
    if (key === "Enter") add();
  });
  const show = (): void => {
    const part = current(page);
    if (part) refill(list, ...part.show.map((each) => cueRow(page, part, each)));
  };
  page.onLesson(show);
  page.onPart(show);
  return el(
    "details",
    {},
    el("summary", {}, "Single cues, for a talk"),
    list,
    el(
      "div",
      { class: "row" },
      labelled("Kind", kind),
      labelled("What is shown", words),
      button("Show it from here", add, { title: "Where the film stands" }),
    ),
  );
}

export const partPanel: Panel = {
  name: "Part",
  build(page) {
    const fields = fieldsOfPart(page);
    const [name, from, to, as, tempo, meter, countIn, strum, placement, text] = fields.map(({ element }) => element);
    text.classList.add("wide");
    for (const each of [from, to]) each.classList.add("wide", "beside");
    const body = el(
      "div",
      { class: "stack" },
      el("div", { class: "fields" }, from, to),
      chartField(page),
      el("div", { class: "fields" }, name, as, tempo, meter, countIn, strum, placement, text),
      pins(page),
      cues(page),
      strumList(page),
    );
    const none = el("p", { class: "quiet" }, "Choose a part above, or on the strip under the film.");
    const show = (): void => {
      const part = current(page);
      body.hidden = !part;
      none.hidden = part !== null;
      none.textContent = page.lesson.parts.length ? "Choose a part above, or on the strip under the film." : "There is no part here.";
      if (part) fields.forEach((each) => each.show());
    };
    page.onLesson(show);
    page.onPart(show);
    return el("div", { class: "stack" }, none, body);
  },
};
