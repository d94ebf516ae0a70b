// Keys that work everywhere on the page but where a control needs them itself.

interface Bound {
  words: string;
  repeat: boolean;
  pressed: () => void;
  released?: (() => void) | undefined;
}

const bound = new Map<string, Bound>();
const held = new Set<string>();
let byPointer = false; // the focus was set by a click: Space then belongs to the film

const lettersOff = "tabard-letter-keys-off";

export function letterKeys(): boolean {
  return localStorage.getItem(lettersOff) === null;
}

export function setLetterKeys(on: boolean): void {
  if (on) localStorage.removeItem(lettersOff);
  else localStorage.setItem(lettersOff, "1");
}

export function bind(key: string, words: string, pressed: () => void,
                     more: { repeat?: boolean; released?: (() => void) | undefined } = {}): void {
  bound.set(key, { words, repeat: more.repeat ?? false, pressed, released: more.released });
}

/** Keys with what they do, in the order they were bound. One that is bound twice to the same words is said once. */
export function boundKeys(): { keys: string[]; words: string }[] {
  const said = new Map<string, string[]>();
  for (const [key, { words }] of bound) said.set(words, [...(said.get(words) ?? []), key]);
  return [...said].map(([words, keys]) => ({ words, keys }));
}

export function nameOf(event: KeyboardEvent): string {
  if (event.altKey) return "";
  const letter = /^\p{L}$/u.test(event.key);
  let name = letter ? event.key.toLowerCase() : event.key;
  if (event.shiftKey && (letter || name.length > 1)) name = "Shift+" + name;
  return event.ctrlKey || event.metaKey ? "Ctrl+" + name : name;
}

/** How a key is printed on it. */
export function keyWords(key: string): string {
  return key.replace("ArrowLeft", "\u2190").replace("ArrowRight", "\u2192").replace("ArrowUp", "\u2191")
    .replace("ArrowDown", "\u2193").replace(/^ $/, "Space").replace(/(^|\+)([a-z])$/, (_, plus, key) => plus + key.toUpperCase());
}

const typedInto = "input:not([type=checkbox],[type=radio],[type=range],[type=button],[type=submit],[type=file]), textarea, [contenteditable]";

/** Whether the control that has the focus uses this key itself. */
function needs(at: Element, key: string): boolean {
  if (at.closest(typedInto)) return true;
  if (at.closest("dialog")) return true;
  if (key.startsWith("Ctrl+")) return false;
  if (at.closest("select")) return true;
  if (/Arrow|Home|End|Page/.test(key)) return at.closest("input, [role=tab], [role=slider], [role=radio], [role=grid]") !== null;
  if (key === " " && byPointer) return false;
  return (key === " " || key === "Enter") && at.closest("button, input, a, summary, [role=button], [role=tab]") !== null;
}

function found(event: KeyboardEvent): Bound | undefined {
  const name = nameOf(event);
  const at = event.target instanceof Element ? event.target : document.body;
  if (event.defaultPrevented || event.isComposing || needs(at, name) || document.querySelector("dialog[open]")) return undefined;
  if (/^(Shift\+)?.$/u.test(name) && name !== " " && name !== "?" && !letterKeys()) return undefined;
  return bound.get(name);
}

function pressed(event: KeyboardEvent): void {
  const key = found(event);
  if (event.key !== " ") byPointer = false;
  if (!key) return;
  event.preventDefault();
  if (event.repeat && !key.repeat) return;
  held.add(event.code);
  key.pressed();
  if (key.released) {
    const letGo = (up: KeyboardEvent) => {
      if (up.code !== event.code) return;
      removeEventListener("keyup", letGo, true);
      key.released?.();
    };
    addEventListener("keyup", letGo, true);
  }
}

export function listenToKeys(): void {
  addEventListener("pointerdown", () => { byPointer = true; }, true);
  addEventListener("keydown", pressed);
  // A button in some browsers is pressed when Space comes up, whatever was done with its coming down.
  addEventListener("keyup", (event) => {
    if (held.delete(event.code) && event.key === " ") event.preventDefault();
  });
}
