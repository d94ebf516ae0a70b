// The strip of time.
import { el } from "./page";
import type { Mark, Page } from "./page";
import type { FilmPlayer } from "./player";

export class Strip {
  readonly element = el("section", { class: "strip", "aria-label": "Strip of time" });
  constructor(page: Page, player: FilmPlayer) { void page; void player; }
  propose(marks: Mark[]): void { void marks; }
}
