import { button, refill } from "./controls";
import { el } from "./page";

// A shape by strings and frets: click one, or walk with the arrow keys and press Enter.

/** null: not played. */
export type Frets = (number | null)[];

/** "x32010", or with a two-digit fret "x-10-12-12-12-10", as the cue file has it, low string first. */
export function fretsOf(text: string): Frets {
  const signs = text.includes("-") ? text.split("-") : [...text];
  return signs.map((sign) => (/^\d+$/.test(sign) ? Number(sign) : null));
}

export function textOf(frets: Frets): string {
  const wide = frets.some((fret) => fret !== null && fret > 9);
  return frets.map((fret) => fret ?? "x").join(wide ? "-" : "");
}

export interface Fretboard {
  element: HTMLElement;
  frets: Frets;
  show(frets: Frets): void;
}

const rows = 5;

/** `changed` is told of each press. Strings stand low to high from the left, as in a diagram. */
export function fretboard(changed: (frets: Frets) => void): Fretboard {
  const table = el("div", { class: "frets", role: "grid", "aria-label": "Strings and frets, the lowest string first" });
  let first = 1; // fret of the topmost row
  let at: [number, number] = [0, 0]; // row, string of the one that Tab reaches; row 0 is above the nut
  const board: Fretboard = { element: el("div", { class: "fretboard" }), frets: [], show };

  const press = (row: number, string: number): void => {
    at = [row, string];
    const now = board.frets[string];
    board.frets[string] = row === 0 ? (now === null ? 0 : null) : now === first + row - 1 ? null : first + row - 1;
    draw();
    changed(board.frets);
  };
  const cell = (row: number, string: number): HTMLElement => {
    const now = board.frets[string];
    const name = `String ${board.frets.length - string}`;
    const on = row > 0 && now === first + row - 1;
    const words = row === 0 ? (now === null ? "✕" : now === 0 ? "○" : "") : on ? "●" : "";
    const what =
      row === 0 ? (now === null ? "not played" : now === 0 ? "open" : `fret ${now}`) : `fret ${first + row - 1}${on ? ", pressed" : ""}`;
    return el(
      "div",
      { role: "gridcell" },
      button(words, () => press(row, string), {
        "data-key": `f${row}.${string}`,
        "aria-label": `${name}, ${what}`,
        "aria-pressed": row > 0 ? String(on) : null,
        tabIndex: row === at[0] && string === at[1] ? 0 : -1,
      }),
    );
  };
  const line = (row: number): HTMLElement => {
    const line = el("div", { role: "row", class: row === 0 ? "nut" : "" }, ...board.frets.map((_, string) => cell(row, string)));
    line.append(el("span", { role: "rowheader" }, row === 0 ? "○ ✕" : String(first + row - 1)));
    return line;
  };
  const draw = (): void => {
    refill(table, ...Array.from({ length: rows + 1 }, (_, row) => line(row)));
    table.style.setProperty("--strings", String(board.frets.length));
    lower.disabled = first === 1;
  };
  const shift = (by: number): void => {
    first = Math.min(Math.max(1, first + by), 24 - rows + 1);
    draw();
  };
  const lower = button("Lower frets", () => shift(-1));
  const higher = button("Higher frets", () => shift(1));
  table.addEventListener("keydown", (event) => {
    const by = { ArrowLeft: [0, -1], ArrowRight: [0, 1], ArrowUp: [-1, 0], ArrowDown: [1, 0] }[event.key];
    if (!by) return;
    event.preventDefault();
    event.stopPropagation();
    let row = at[0] + by[0];
    if (row > rows || (row < 1 && at[0] > 0 && first > 1 && by[0] < 0)) {
      shift(row > rows ? 1 : -1);
      row = row > rows ? rows : 1;
    }
    at = [Math.max(0, row), Math.min(Math.max(0, at[1] + by[1]), board.frets.length - 1)];
    draw();
    table.querySelector<HTMLElement>(`[data-key="f${at[0]}.${at[1]}"]`)?.focus();
  });
  function show(frets: Frets): void {
    board.frets = [...frets];
    const pressed = frets.filter((fret): fret is number => fret !== null && fret > 0);
    first = Math.max(...pressed, 0) <= rows ? 1 : Math.min(...pressed);
    at = [0, 0];
    draw();
  }
  board.element.append(table, el("div", { class: "row" }, lower, higher));
  return board;
}
