import { clock, el } from "./page";

// Small pieces that several panels are made of.

let numbers = 0;
export function newId(): string {
  return `c${++numbers}`;
}

/** `key`: of a button that is made anew with its list, so that the focus finds it again. */
export function button(words: string, press: () => void, with_: Record<string, unknown> = {}): HTMLButtonElement {
  return el("button", { type: "button", onclick: press, ...with_ }, words);
}

/** A control under its label. `hint` is read with it. */
export function labelled(label: string, control: HTMLElement, hint = ""): HTMLElement {
  control.id ||= newId();
  const told = hint ? el("small", { id: newId() }, hint) : null;
  if (told) describe(control, told);
  return el("div", { class: "field" }, el("label", { htmlFor: control.id }, label), control, told);
}

/** Has `by` read after `control`. */
export function describe(control: Element, by: HTMLElement): void {
  by.id ||= newId();
  const known = control.getAttribute("aria-describedby");
  control.setAttribute("aria-describedby", known ? `${known} ${by.id}` : by.id);
}

export function group(legend: string, ...children: (Node | string | null)[]): HTMLFieldSetElement {
  return el("fieldset", {}, el("legend", {}, legend), ...children);
}

/** Words that are read aloud when they change. */
export function told(class_ = "told"): HTMLElement {
  return el("p", { class: class_, role: "status" });
}

export type Choices = [value: string, words: string][];

/** Fills a list of choices and chooses `value`; one that is not among them is added, so that nothing is shown wrongly. */
export function offer(select: HTMLSelectElement, choices: Choices, value: string): void {
  const known = choices.some(([each]) => each === value);
  select.replaceChildren(...(known ? choices : [...choices, [value, value]]).map(([each, words]) => el("option", { value: each }, words)));
  select.value = value;
}

/** Fills `box` anew; the focus stays on what has the same data-key, with what was typed there (its value is not its
 * defaultValue), or goes to what comes next, or to the box. */
export function refill(box: HTMLElement, ...children: (Node | string | null)[]): void {
  const focused = box.contains(document.activeElement) ? (document.activeElement as HTMLElement) : null;
  const keys = [...box.querySelectorAll<HTMLElement>("[data-key]")].map((each) => each.dataset.key);
  box.replaceChildren(...children.filter((child): child is Node | string => child !== null));
  if (!focused) return;
  const at = keys.indexOf(focused.dataset.key);
  const left = [...box.querySelectorAll<HTMLElement>("[data-key]:not(:disabled)")];
  const same = left.find((each) => focused.dataset.key && each.dataset.key === focused.dataset.key);
  const next = same ?? left[Math.min(Math.max(at, 0), left.length - 1)] ?? box;
  if (next === box) box.tabIndex = -1;
  next.focus();
  if (next !== same || !(next instanceof HTMLInputElement) || !(focused instanceof HTMLInputElement)) return;
  if (focused.value !== focused.defaultValue) next.value = focused.value;
  next.setSelectionRange(focused.selectionStart, focused.selectionEnd);
}

/** A film time as the cue file writes it: 62.48 as "1:02.48". A frame is found up to a thousandth after its time. */
export function stamp(seconds: number): string {
  return clock(Math.max(0, seconds), 3).replace(/\.?0+$/, "");
}

export function span(from: number | null, to: number | null): string {
  return from === null ? "no time yet" : to === null ? clock(from) : `${clock(from)} – ${clock(to)}`;
}

/** "1 part", "3 parts". */
export function count(number: number, thing: string): string {
  return `${number} ${thing}${number === 1 ? "" : "s"}`;
}
