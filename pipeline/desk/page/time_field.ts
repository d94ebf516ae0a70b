import { button, stamp } from "./controls";
import { el, Page, Path } from "./page";
import { Place, Saved, textField } from "./saved_fields";

// A time of the file: typed, moved by a frame, or taken from where the film stands.

/** Moves what is written at `path`, and the film with it. `now`: its time after the change. */
async function nudge(page: Page, path: Path, frames: number, now: () => number | null): Promise<void> {
  if (!(await page.change("move", { path, frames }))) return;
  const time = now();
  if (time !== null) await page.player.seek(time);
}

async function takeHere(page: Page, path: Path, written: boolean, words: string): Promise<void> {
  if (written) await page.change("move", { path, time: page.player.time });
  else await page.edit(words, [{ path, value: stamp(page.player.time) }]);
}

/** Buttons for a time in the file. `what`: "Verse begins", read before what each does. `key`: of the row in its list. */
export function timeButtons(
  page: Page,
  what: string,
  path: () => Path,
  written: () => boolean,
  now: () => number | null,
  key: string,
): HTMLButtonElement[] {
  return [
    button("−1", () => void nudge(page, path(), -1, now), {
      "data-key": `${key}-`,
      "aria-label": `−1 frame: ${what}`,
      title: "One frame earlier",
      disabled: !written(),
    }),
    button("+1", () => void nudge(page, path(), 1, now), {
      "data-key": `${key}+`,
      "aria-label": `+1 frame: ${what}`,
      title: "One frame later",
      disabled: !written(),
    }),
    button("Here", () => void takeHere(page, path(), written(), `${what} here`), {
      "data-key": `${key}h`,
      "aria-label": `Here: ${what}`,
      title: "Where the film stands",
    }),
  ];
}

export function timeField(page: Page, place: Place, now: () => number | null): Saved {
  const field = textField(page, place, { size: 11 });
  const [earlier, later, here] = timeButtons(page, place.label, place.path, () => place.value() !== null, now, place.label);
  const row = el("div", { class: "row" });
  field.control.replaceWith(row);
  row.append(field.control, earlier, later, here);
  return {
    ...field,
    show: () => {
      field.show();
      earlier.disabled = later.disabled = place.value() === null;
    },
  };
}
