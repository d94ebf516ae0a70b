import { labelled, offer } from "./controls";
import { clock, el, Page } from "./page";

/** The selected part, above all panels. Choosing one shows its beginning. */
export function partChoice(page: Page): HTMLElement {
  const choose = (): void => {
    page.select(select.value === "" ? null : Number(select.value));
    const from = page.part === null ? null : page.lesson.parts[page.part].from;
    if (from !== null) void page.player.seek(from);
  };
  const select = el("select", { onchange: choose });
  const show = (): void =>
    offer(
      select,
      [
        ["", page.lesson.parts.length ? "None chosen" : page.lesson.broken ? "No part can be read: see Findings" : "This lesson has no parts yet"],
        ...page.lesson.parts.map(({ index, name, from }): [string, string] => [
          String(index),
          from === null ? `${name} (no time yet)` : `${name}, ${clock(from)}`,
        ]),
      ],
      page.part === null ? "" : String(page.part),
    );
  page.onLesson(show);
  page.onPart(show);
  const field = labelled("Part", select);
  field.classList.add("part-choice", "beside");
  return field;
}
