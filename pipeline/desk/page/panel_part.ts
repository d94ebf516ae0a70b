import { chartField } from "./chart_field";
import { button, Choices, labelled, offer, refill, stamp } from "./controls";
import { clock, Edit, el, Page, Panel, Part } from "./page";
import { placements, strumChoices } from "./panel_lesson";
import { numberField, Place, saved, Saved, textField } from "./saved_fields";
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

/** The place in a list of the file where something at `time` belongs. */
function placeIn(times: number[], time: number): number {
  const later = times.findIndex((each) => each > time);
  return later < 0 ? times.length : later;
}

function pinRows(page: Page, part: Part): HTMLElement[] {
  const remove = (index: number) => (): void => {
    const path = part.pins.length > 1 ? ["sections", part.index, "pins", index] : ["sections", part.index, "pins"];
    void page.edit("Delete a pin", [{ path, remove: true }]);
  };
  return part.pins.map(({ index, bar, time }) =>
    el(
      "li",
      { class: "row" },
      button(`${bar} at ${clock(time)}`, () => void page.player.seek(time), {
        class: "plain",
        title: "Show in the film",
        "data-key": `pin${index}`,
      }),
      ...timeButtons(
        page,
        `Pin ${bar}`,
        () => ["sections", part.index, "pins", index, 1],
        () => true,
        () => current(page)?.pins[index]?.time ?? null,
        `pin${index}`,
      ),
      button("Delete", remove(index), { "aria-label": `Delete pin ${bar}`, "data-key": `pin${index}x` }),
    ),
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
    const pin = [place, stamp(time)];
    const edit: Edit = part.pins.length
      ? {
          path: [
            "sections",
            part.index,
            "pins",
            placeIn(
              part.pins.map((each) => each.time),
              time,
            ),
          ],
          insert: pin,
        }
      : { path: ["sections", part.index, "pins"], value: [pin] };
    void page.edit(`Pin ${place} here`, [edit]).then((done) => {
      if (done) bar.value = "";
    });
  };
  bar.addEventListener("keydown", ({ key }) => {
    if (key === "Enter") add();
  });
  const show = (): void => {
    const part = current(page);
    if (part) refill(list, ...pinRows(page, part));
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

function cueRows(page: Page, part: Part): HTMLElement[] {
  return part.show.map(({ index, kind, value, from, to }) => {
    const path = ["sections", part.index, "show", index];
    const what = `${kind} ${value}`;
    const words = el("input", {
      type: "text",
      defaultValue: value,
      "aria-label": `${kind} of the cue at ${clock(from)}`,
      "data-key": `cue${index}`,
      onchange: () => void page.edit(`Change ${what}`, [{ path: [...path, kind], value: words.value }]),
    });
    words.dataset.path = JSON.stringify([...path, kind]);
    const end =
      to === null
        ? button("End here", () => void page.edit(`End ${what} here`, [{ path: [...path, "to"], value: stamp(page.player.time) }]), {
            "data-key": `cue${index}e`,
          })
        : button(`to ${clock(to)}`, () => void page.player.seek(to), {
            class: "plain",
            title: "Show in the film",
            "data-key": `cue${index}e`,
          });
    return el(
      "li",
      { class: "cue" },
      el(
        "div",
        { class: "row" },
        el("small", {}, kind),
        words,
        button("Delete", () => void page.edit(`Delete ${what}`, [{ path, remove: true }]), {
          "aria-label": `Delete ${what}`,
          "data-key": `cue${index}x`,
        }),
      ),
      el(
        "div",
        { class: "row" },
        button(`from ${clock(from)}`, () => void page.player.seek(from), {
          class: "plain",
          title: "Show in the film",
          "data-key": `cue${index}f`,
        }),
        ...timeButtons(
          page,
          what,
          () => [...path, "from"],
          () => true,
          () => current(page)?.show[index]?.from ?? null,
          `cue${index}f`,
        ),
        end,
        ...(to === null
          ? []
          : timeButtons(
              page,
              `${what} ends`,
              () => [...path, "to"],
              () => true,
              () => current(page)?.show[index]?.to ?? null,
              `cue${index}t`,
            )),
      ),
    );
  });
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
    const edit: Edit = part.show.length
      ? {
          path: [
            "sections",
            part.index,
            "show",
            placeIn(
              part.show.map(({ from }) => from),
              time,
            ),
          ],
          insert: cue,
        }
      : { path: ["sections", part.index, "show"], value: [cue] };
    void page.edit(`Show ${words.value.trim()} here`, [edit]).then((done) => {
      if (done) words.value = "";
    });
  };
  words.addEventListener("keydown", ({ key }) => {
    if (key === "Enter") add();
  });
  const show = (): void => {
    const part = current(page);
    if (part) refill(list, ...cueRows(page, part));
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
      if (part) fields.forEach((each) => each.show());
    };
    page.onLesson(show);
    page.onPart(show);
    return el("div", { class: "stack" }, none, body);
  },
};
