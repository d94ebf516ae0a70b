import { button, labelled, refill } from "./controls";
import { Edit, el, Lesson, Page } from "./page";
import { editIfRight } from "./saved_fields";

// The strums of the lesson: name and steps.

/** A new name, in the list and wherever it is used. */
function renamed(page: Page, old: string, name: string): Edit[] {
  const edits: Edit[] = [{ path: ["strums", old], move: name }];
  if (page.lesson.lesson.strum === old) edits.push({ path: ["strum"], value: name });
  for (const { index, written, show } of page.lesson.parts) {
    if (written.strum === old) edits.push({ path: ["sections", index, "strum"], value: name });
    for (const cue of show)
      if (cue.kind === "strum" && cue.value === old) edits.push({ path: ["sections", index, "show", cue.index, "strum"], value: name });
  }
  return edits;
}

function row(page: Page, { name, steps, path }: Lesson["strums"][0]): HTMLElement {
  const named = el("input", {
    type: "text",
    defaultValue: name,
    size: 10,
    "aria-label": `Name of strum ${name}`,
    "data-key": `n${name}`,
    onchange: () => {
      if (named.value.trim() && named.value !== name) void page.edit(`Rename strum ${name}`, renamed(page, name, named.value.trim()));
    },
  });
  const written = el("input", {
    type: "text",
    defaultValue: steps,
    class: "steps-of",
    spellcheck: false,
    "aria-label": `Steps of ${name}`,
    "data-key": `s${name}`,
    onchange: () => {
      if (written.value.trim()) void editIfRight(page, `Change strum ${name}`, [{ path, value: written.value.trim() }]);
    },
  });
  written.dataset.path = JSON.stringify(["strums", name]);
  return el(
    "li",
    { class: "row" },
    named,
    written,
    button("Delete", () => void page.edit(`Delete strum ${name}`, [{ path: ["strums", name], remove: true }]), {
      "aria-label": `Delete strum ${name}`,
      "data-key": `x${name}`,
    }),
  );
}

export function strumList(page: Page): HTMLElement {
  const list = el("ul", { class: "rows" });
  const name = el("input", { type: "text", size: 10 });
  const steps = el("input", { type: "text", class: "steps-of", placeholder: "D - D U - U D U", spellcheck: false });
  const add = async (): Promise<void> => {
    const [named, written] = [name.value.trim(), steps.value.trim()];
    if (!named) return name.focus();
    if (!written) return steps.focus();
    if (page.lesson.strums.some((each) => each.name === named)) return page.say(`There is a strum ${named} already.`, "bad");
    if (await editIfRight(page, `Add strum ${named}`, [{ path: ["strums", named], value: { steps: written } }])) name.value = steps.value = "";
  };
  page.onLesson(() => refill(list, ...page.lesson.strums.map((each) => row(page, each))));
  return el(
    "details",
    {},
    el("summary", {}, "Strums of the lesson"),
    list,
    el(
      "div",
      { class: "row" },
      labelled("New strum", name),
      labelled("Steps of a bar", steps),
      button("Add", () => void add()),
    ),
    el("small", {}, "D down, U up, - the hand passes; x after it muted, > louder, p i m a the finger. 6p plucks a string, Rp the bass."),
  );
}
